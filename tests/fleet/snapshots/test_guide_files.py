import json
from typing import Any

import pytest

from fleet.snapshots.decoding import ReadError
from fleet.snapshots.guide_facts import Fact, NodeFact
from fleet.snapshots.guides import FieldRule, NodeRule, NodeTable, from_json, to_json
from fleet.snapshots.readings import Reading
from fleet.snapshots.rows import Form, Rows, Source
from tests.fleet.snapshots import guided

FULL = guided.guide(
    version=3,
    fingerprints=("0" * 32, "ab" * 16),
    fixed={Fact.CHANNEL_PAGE: 0, Fact.SECURITY_MODE: "central", Fact.POWER_DBM: -4},
    head_listed=True,
    counter_copies=(FieldRule("copy", Reading.NUMBER),),
    tables=(
        guided.table(),
        NodeTable(
            Rows("kids", Form.LIST, within=Rows("nodes", Form.KEYED), again=True),
            {
                NodeFact.EXTENDED_ADDRESS: NodeRule("@", Reading.OCTETS_TURNED),
                NodeFact.PARENT: NodeRule("@", Reading.HEX, Source.AROUND_NAME),
            },
            adds=False,
        ),
    ),
)


@pytest.mark.parametrize("guide", [guided.guide(), FULL])
def test_a_guide_comes_back_from_its_file(guide: Any) -> None:
    assert from_json(to_json(guide)) == guide


def test_the_same_guide_is_always_the_same_file() -> None:
    assert to_json(from_json(to_json(FULL))) == to_json(FULL)


def changed(**members: Any) -> str:
    document = json.loads(to_json(FULL))
    for path, value in members.items():
        *steps, last = path.split("__")
        part = document
        for step in steps:
            part = part[int(step) if step.isdigit() else step]
        part[last] = value
    return json.dumps(document)


@pytest.mark.parametrize(
    ("file", "path"),
    [
        (changed(field_guide=2), "$.field_guide"),
        (changed(name=""), "$.name"),
        (changed(version=0), "$.version"),
        (changed(fingerprints=["AB"]), "$.fingerprints[0]"),
        (changed(other=1), "$"),
        (changed(mesh__color={"expression": "a", "reading": "hex"}), "$.mesh"),
        (changed(mesh__pan_id__reading="guess"), "$.mesh.pan_id.reading"),
        (changed(mesh__pan_id__expression="a" * 301), "$.mesh.pan_id.expression"),
        (changed(nodes__0__rows__form="pile"), "$.nodes[0].rows.form"),
        (changed(nodes__0__rules__role__words={"R": 5}), "$.nodes[0].rules.role.words.R"),
        (changed(fixed__pan_id=5), "$.fixed"),
        (changed(mesh__pan_id__expression="a..b"), "mesh.pan_id.expression"),
        (changed(mesh__pan_id__expression="sort(a)"), "mesh.pan_id.expression"),
        (changed(mesh__pan_id__reading="iso_time"), "mesh.pan_id.reading"),
        (changed(nodes__0__rows__items="["), "nodes[0].items"),
        (changed(nodes__1__rows__within__items="["), "nodes[1].items"),
        (changed(nodes__0__rules__role__words={"R": "boss"}), "nodes[0].rules.role.reading"),
        (changed(nodes__0__rules={}), "nodes[0].rules"),
        (changed(fixed__channel_page=300), "fixed.channel_page"),
        (changed(fixed__channel_page="0"), "fixed.channel_page"),
        (changed(fixed__security_mode="open"), "fixed.security_mode"),
        ("{", "$"),
        ("[]", "$"),
        ('{"name": 1, "name": 2}', "$.name"),
    ],
)
def test_a_file_with_something_wrong_is_refused_and_the_place_named(file: str, path: str) -> None:
    with pytest.raises(ReadError) as refused:
        from_json(file)

    assert path in {problem.path for problem in refused.value.problems}


def test_what_would_be_right_is_said() -> None:
    with pytest.raises(ReadError) as refused:
        from_json(changed(nodes__0__rows__form="pile"))

    assert str(refused.value) == (
        '$.nodes[0].rows.form: "pile" found, expected a value that is one of "list", "keyed" or "columns"'
    )


def test_more_than_64_kb_are_refused() -> None:
    with pytest.raises(ReadError, match="at most 65536 octets"):
        from_json(changed(name="a") + " " * 65_536)


def test_a_guide_holds_no_key_of_the_document_it_was_made_for() -> None:
    assert guided.KEY not in to_json(FULL).lower()
