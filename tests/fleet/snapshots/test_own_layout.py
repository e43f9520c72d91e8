"""Our own layout: what is read from it, and what is written."""

import json
from dataclasses import FrozenInstanceError, fields, replace
from datetime import UTC, datetime
from importlib.resources import files
from typing import Any

import jsonschema_rs
import pytest

from fleet.snapshots import own_layout
from fleet.snapshots.decoding import decode
from fleet.snapshots.facts import LinkKeyKind, NodeFacts, Power, Role, SecurityMode, TableUse
from tests.fleet.snapshots import making

NODE = {
    "address": "02A4C138F00D0011",
    "short": "1A2B",
    "role": "end_device",
    "parent": "02A4C138F00D0001",
    "power": "battery",
    "sleeps": True,
    "link": {
        "kind": "install_code",
        "key": "4F1C9A3377E2B05D8C66A1F0D2935B7E",
        "outgoingCounter": 1,
        "incomingCounter": 4294967294,
    },
    "longestSilenceSeconds": 3600,
    "label": "Dør",
    "room": "Loft",
    "lastHeard": "2026-11-25T03:59:00+01:00",
}


def read(document: dict[str, Any]):
    return own_layout.read(decode(making.octets(document)))


def schema() -> dict[str, Any]:
    return json.loads(files("fleet.snapshots").joinpath("own_layout.schema.json").read_text("utf-8"))


def test_a_node_is_read_field_by_field():
    document = making.document() | {"nodes": [NODE]}
    assert read(document).nodes == (
        NodeFacts(
            extended_address="02A4C138F00D0011",
            short_address=0x1A2B,
            role=Role.END_DEVICE,
            parent="02A4C138F00D0001",
            power=Power.BATTERY,
            sleeps=True,
            link_key_kind=LinkKeyKind.INSTALL_CODE,
            link_key=bytes.fromhex("4F1C9A3377E2B05D8C66A1F0D2935B7E"),
            outgoing_counter=1,
            incoming_counter=4294967294,
            longest_silence_seconds=3600,
            label="Dør",
            room="Loft",
            last_heard=datetime(2026, 11, 25, 2, 59, tzinfo=UTC),
        ),
    )


def test_a_node_may_state_its_address_and_role_only():
    document = making.document() | {"nodes": [{"address": "02A4C138F00D0011", "role": "router"}]}
    assert read(document).nodes == (NodeFacts("02A4C138F00D0011", role=Role.ROUTER),)


def test_the_mesh_is_read_field_by_field():
    document = making.document()
    document["identity"] = {
        "extendedPanId": "02D1CE0000000001",
        "panId": "1A2B",
        "headAddress": "02A4C138F00D0001",
        "headShort": "0001",
        "updateId": 255,
    }
    document["air"] = {"page": 0, "channel": 15, "mask": "02108800", "powerDbm": -4}
    document["security"] = {
        "level": 5,
        "mode": "distributed",
        "networkKey": "4F1C9A3377E2B05D8C66A1F0D2935B7E",
        "keySequence": 7,
        "outgoingCounter": 1463120,
        "linkKeySeed": "00112233445566778899AABBCCDDEE0F",
    }
    document["tables"] = {"children": 9, "sourceRoutes": 30, "linkKeys": 12}
    facts = read(document)
    assert (facts.extended_pan_id, facts.pan_id, facts.head_address) == (
        "02D1CE0000000001",
        0x1A2B,
        "02A4C138F00D0001",
    )
    assert (facts.head_short_address, facts.update_id) == (1, 255)
    assert (facts.channel_page, facts.channel, facts.channel_mask, facts.power_dbm) == (0, 15, 0x02108800, -4)
    assert (facts.security_level, facts.security_mode) == (5, SecurityMode.DISTRIBUTED)
    assert facts.network_key.hex() == "4f1c9a3377e2b05d8c66a1f0d2935b7e"
    assert facts.link_key_seed == bytes.fromhex("00112233445566778899AABBCCDDEE0F")
    assert (facts.key_sequence, facts.outgoing_counter) == (7, 1463120)
    assert facts.tables == TableUse(children=9, source_routes=30, link_keys=12)
    assert (facts.stack_profile, facts.stack_revision, facts.firmware) == (2, 22, "7.4.1")
    assert facts.writer == "collector 1.0"
    assert facts.taken_at == datetime(2026, 11, 25, 3, 0, tzinfo=UTC)


def test_what_is_not_stated_is_none():
    document = making.document()
    for name in ("writer", "stack", "tables"):
        del document[name]
    document["air"] = {"channel": 20}
    facts = read(document)
    assert (facts.channel_mask, facts.power_dbm, facts.stack_revision) == (None, None, None)
    assert (facts.channel_page, facts.writer, facts.tables) == (0, "", TableUse())


@pytest.mark.parametrize("separator", ["", ":", "-", ".", " "])
def test_letter_case_and_separators_do_not_matter(separator: str):
    document = making.document() | {"nodes": [NODE]}
    other = json.loads(json.dumps(document).replace("F00D", "f00d"))
    for place, name in (
        ("identity", "headAddress"),
        ("identity", "extendedPanId"),
        ("security", "networkKey"),
    ):
        text = document[place][name].lower()
        other[place][name] = separator.join(text[at : at + 2] for at in range(0, len(text), 2))
    other["nodes"][0]["address"] = separator.join(["02", "a4", "c1", "38", "f0", "0d", "00", "11"])
    assert read(other) == read(document)


def test_a_whole_float_is_an_integer():
    document = making.document()
    document["security"]["outgoingCounter"] = 1463120.0
    counter = read(document).outgoing_counter
    assert (counter, type(counter)) == (1463120, int)


def test_read_nodes_are_as_frozen_as_any():
    node = read(making.document()).nodes[0]
    with pytest.raises(FrozenInstanceError):
        node.label = "other"  # type: ignore[misc]
    assert node == NodeFacts(**{each.name: getattr(node, each.name) for each in fields(node)})
    assert hash(node) == hash(replace(node))


def test_facts_do_not_show_their_keys():
    document = making.document()
    key = document["security"]["networkKey"]
    shown = repr(read(document))
    assert key not in shown
    assert key.lower() not in shown
    assert repr(bytes.fromhex(key)) not in shown


@pytest.mark.parametrize("seed", range(20))
def test_written_facts_read_the_same(seed: int):
    facts = read(making.document(seed, nodes=seed))
    assert own_layout.read(decode(own_layout.write(facts))) == facts


def test_writing_is_steady():
    facts = read(making.document())
    assert own_layout.write(facts) == own_layout.write(read(making.document()))


def test_a_written_document_says_what_was_read():
    document = making.document()
    for node in document["nodes"]:
        if node["parent"] is None:
            del node["parent"]
    assert json.loads(own_layout.write(read(document))) == document


def test_facts_without_a_time_are_not_written():
    facts = replace(read(making.document()), taken_at=None)
    with pytest.raises(own_layout.WriteError, match="taken_at"):
        own_layout.write(facts)


def test_a_node_without_a_role_is_not_written():
    facts = replace(read(making.document()), nodes=(NodeFacts("02A4C138F00D0011"),))
    with pytest.raises(own_layout.WriteError, match="role of node 02A4C138F00D0011"):
        own_layout.write(facts)


@pytest.mark.parametrize(
    ("value", "ours"),
    [
        ({"sparebook": {"layout": "mesh-snapshot", "version": 1}}, True),
        ({"sparebook": {"layout": "mesh-snapshot", "version": 9}}, True),
        ({"sparebook": {"layout": "other", "version": 1}}, False),
        ({"sparebook": "mesh-snapshot"}, False),
        ({"nodes": []}, False),
        ([], False),
        (None, False),
    ],
)
def test_our_layout_is_recognised_by_its_mark(value: object, ours: bool):
    assert own_layout.recognises(value) is ours


def test_the_schema_is_valid_json_schema_2020_12():
    assert schema()["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert jsonschema_rs.meta.is_valid(schema())


def described(field: dict[str, Any], path: str = "$"):
    yield path, field
    for name, inner in field.get("properties", {}).items():
        yield from described(inner, f"{path}.{name}")
    if "items" in field:
        yield from described(field["items"], f"{path}[]")


def test_every_field_is_described_with_unit_and_range():
    for path, field in described(schema()):
        missing = {"title", "description", "x-unit", "x-range"} - field.keys()
        assert not missing, path


def test_no_object_admits_unknown_fields():
    open_objects = [
        path
        for path, field in described(schema())
        if field.get("type") == "object" and field.get("additionalProperties") is not False
    ]
    assert open_objects == []


def test_exactly_the_keys_are_marked_secret():
    secret = [path for path, field in described(schema()) if field.get("x-secret")]
    assert secret == ["$.security.networkKey", "$.security.linkKeySeed", "$.nodes[].link.key"]


def test_exactly_these_fields_are_required():
    required = {path: field["required"] for path, field in described(schema()) if "required" in field}
    assert required == {
        "$": ["sparebook", "taken", "identity", "air", "security", "nodes"],
        "$.sparebook": ["layout", "version"],
        "$.identity": ["extendedPanId", "panId", "headAddress"],
        "$.air": ["channel"],
        "$.security": ["networkKey", "keySequence", "outgoingCounter"],
        "$.nodes[]": ["address", "role"],
        "$.nodes[].link": ["kind"],
    }
