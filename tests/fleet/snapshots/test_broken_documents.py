"""Documents in our own layout with one thing wrong each: refused, the field named, no secret repeated."""

from collections.abc import Callable
from typing import Any

import pytest

from fleet.snapshots import own_layout
from fleet.snapshots.decoding import ReadError, decode
from tests.fleet.snapshots import making

KEY = "4F1C9A3377E2B05D8C66A1F0D2935B7E"


def setting(*steps: Any) -> Callable[[dict[str, Any]], None]:
    """Put the last step at the path of the others."""
    *path, name, value = steps

    def act(document: dict[str, Any]) -> None:
        for step in path:
            document = document[step]
        document[name] = value

    return act


def dropping(*path: Any) -> Callable[[dict[str, Any]], None]:
    def act(document: dict[str, Any]) -> None:
        for step in path[:-1]:
            document = document[step]
        del document[path[-1]]

    return act


BROKEN = [
    ("$.sparebook", dropping("sparebook")),
    ("$.sparebook.layout", setting("sparebook", "layout", "other")),
    ("$.sparebook.version", setting("sparebook", "version", 2)),
    ("$.taken", dropping("taken")),
    ("$.taken", setting("taken", "yesterday")),
    ("$.taken", setting("taken", "2026-11-25T03:00:00")),
    ("$.taken", setting("taken", "2026-02-30T03:00:00Z")),
    ("$.taken", setting("taken", 1795662000)),
    ("$.writer.name", setting("writer", "name", 7)),
    ("$.identity", dropping("identity")),
    ("$.identity.extendedPanId", dropping("identity", "extendedPanId")),
    ("$.identity.extendedPanId", setting("identity", "extendedPanId", "02D1CE")),
    ("$.identity.panId", setting("identity", "panId", "1A2B3")),
    ("$.identity.panId", setting("identity", "panId", 6699)),
    ("$.identity.headAddress", setting("identity", "headAddress", "02A4C138F00D00XX")),
    ("$.identity.headShort", setting("identity", "headShort", "")),
    ("$.identity.updateId", setting("identity", "updateId", 256)),
    ("$.air", setting("air", [])),
    ("$.air.channel", dropping("air", "channel")),
    ("$.air.channel", setting("air", "channel", "15")),
    ("$.air.channel", setting("air", "channel", 15.5)),
    ("$.air.mask", setting("air", "mask", "7FFF800")),
    ("$.air.powerDbm", setting("air", "powerDbm", 21)),
    ("$.security.networkKey", dropping("security", "networkKey")),
    ("$.security.networkKey", setting("security", "networkKey", KEY[:-1])),
    ("$.security.networkKey", setting("security", "networkKey", KEY[:-1] + "G")),
    ("$.security.networkKey", setting("security", "networkKey", list(bytes.fromhex(KEY)))),
    ("$.security.keySequence", setting("security", "keySequence", -1)),
    ("$.security.outgoingCounter", setting("security", "outgoingCounter", 4294967296)),
    ("$.security.outgoingCounter", setting("security", "outgoingCounter", "1463120")),
    ("$.security.outgoingCounter", setting("security", "outgoingCounter", None)),
    ("$.security.linkKeySeed", setting("security", "linkKeySeed", "")),
    ("$.security.mode", setting("security", "mode", "none")),
    ("$.stack.revision", setting("stack", "revision", "R22")),
    ("$.tables.children", setting("tables", "children", -1)),
    ("$.tables.sleepers", setting("tables", "sleepers", 3)),
    ("$.nodes", dropping("nodes")),
    ("$.nodes", setting("nodes", {})),
    ("$.nodes[2]", setting("nodes", 2, "02A4C138F00D0011")),
    ("$.nodes[0].address", dropping("nodes", 0, "address")),
    ("$.nodes[3].address", setting("nodes", 3, "address", "02:A4:C1:38:F0:0D:00")),
    ("$.nodes[3].role", dropping("nodes", 3, "role")),
    ("$.nodes[3].role", setting("nodes", 3, "role", "head")),
    ("$.nodes[4].short", setting("nodes", 4, "short", "12345")),
    ("$.nodes[4].parent", setting("nodes", 4, "parent", "")),
    ("$.nodes[4].sleeps", setting("nodes", 4, "sleeps", "no")),
    ("$.nodes[5].power", setting("nodes", 5, "power", "solar")),
    ("$.nodes[5].link.kind", dropping("nodes", 5, "link", "kind")),
    ("$.nodes[5].link.key", setting("nodes", 5, "link", "key", KEY + "00")),
    ("$.nodes[6].link.incomingCounter", setting("nodes", 6, "link", "incomingCounter", -5)),
    ("$.nodes[6].longestSilenceSeconds", setting("nodes", 6, "longestSilenceSeconds", 0)),
    ("$.nodes[6].label", setting("nodes", 6, "label", "x" * 201)),
    ("$.nodes[7].lastHeard", setting("nodes", 7, "lastHeard", "2026-13-01T00:00:00Z")),
    ("$.nodes[7].adress", setting("nodes", 7, "adress", "02A4C138F00D0011")),
]


@pytest.mark.parametrize(
    ("path", "break_it"), BROKEN, ids=[f"{n} {path}" for n, (path, _) in enumerate(BROKEN)]
)
def test_each_broken_document_names_its_field(path: str, break_it: Callable[[dict[str, Any]], None]):
    document = making.document()
    break_it(document)
    with pytest.raises(ReadError) as caught:
        own_layout.read(decode(making.octets(document)))
    assert [problem.path for problem in caught.value.problems] == [path]
    assert all(problem.expected for problem in caught.value.problems)


def test_all_wrong_fields_are_named_at_once():
    document = making.document()
    document["air"]["channel"] = 99
    document["security"]["keySequence"] = 300
    del document["nodes"][1]["role"]
    document["nodes"][8]["short"] = "zz"
    with pytest.raises(ReadError) as caught:
        own_layout.read(document)
    assert [problem.path for problem in caught.value.problems] == [
        "$.air.channel",
        "$.security.keySequence",
        "$.nodes[1].role",
        "$.nodes[8].short",
    ]


def test_a_problem_shows_value_and_what_would_be_right():
    document = making.document()
    document["air"]["powerDbm"] = 33
    with pytest.raises(ReadError) as caught:
        own_layout.read(document)
    assert str(caught.value) == "$.air.powerDbm: 33 found, expected a whole number from -20 to 20 (dBm)"


def test_a_misspelt_field_gets_a_hint():
    document = making.document()
    document["security"]["keySequense"] = document["security"].pop("keySequence")
    with pytest.raises(ReadError) as caught:
        own_layout.read(document)
    assert "keySequence, perhaps" in str(caught.value)


@pytest.mark.parametrize(
    "break_it",
    [
        pytest.param(setting("security", "networkKey", KEY + "F"), id="network key too long"),
        pytest.param(setting("security", "linkKeySeed", "0x" + KEY), id="seed with a prefix"),
        pytest.param(setting("security", "networkkey", KEY), id="key under a misspelt name"),
        pytest.param(setting("identity", "panId", KEY), id="key in the wrong field"),
        pytest.param(setting("stack", "firmware", KEY * 4), id="key in a text"),
        pytest.param(
            setting("nodes", 0, "short", ":".join(KEY[at : at + 2] for at in range(0, 32, 2))), id="parted"
        ),
        pytest.param(setting("nodes", 0, "link", KEY, 1), id="key as a name"),
        pytest.param(setting("nodes", 0, "role", "TxyaM3fisF2MZqHw0pNbfg=="), id="key in base64"),
    ],
)
def test_no_error_repeats_a_key(break_it: Callable[[dict[str, Any]], None]):
    document = making.document()
    break_it(document)
    with pytest.raises(ReadError) as caught:
        own_layout.read(document)
    told = str(caught.value).replace(":", "")
    assert KEY not in told
    assert "TxyaM3fisF2MZqHw0pNbfg" not in told


@pytest.mark.parametrize("value", [None, True, 7, 1.5, "text", [], [1, 2], {}, {"sparebook": 1}])
def test_any_json_value_is_refused_with_problems(value: object):
    with pytest.raises(ReadError) as caught:
        own_layout.read(value)
    assert caught.value.problems


@pytest.mark.parametrize(("wrong", "told"), [(99, 99), (100, 100), (101, 101), (500, 101)])
def test_a_hundred_problems_are_listed_and_the_rest_is_said_to_follow(wrong: int, told: int):
    document = making.document() | {"nodes": [7] * wrong}
    with pytest.raises(ReadError) as caught:
        own_layout.read(document)
    assert len(caught.value.problems) == told
    assert ("more are wrong" in str(caught.value)) == (wrong > 100)


@pytest.mark.parametrize(
    "rows",
    [
        pytest.param([1] * 60_000, id="60,000 numbers"),
        pytest.param([{"address": 1, "role": 2, "link": {}, "x": []}] * 20_000, id="20,000 wrong nodes"),
        pytest.param([{f"x{n}": 1 for n in range(50_000)}], id="a node with 50,000 fields"),
        pytest.param([0] * 150_000, id="more nodes than addresses"),
    ],
)
def test_a_flood_of_errors_is_cut_short(rows: list[object]):
    document = making.document() | {"nodes": rows}
    with pytest.raises(ReadError) as caught:
        own_layout.read(document)
    assert 1 <= len(caught.value.problems) <= 101
