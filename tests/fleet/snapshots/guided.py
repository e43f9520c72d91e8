"""A small foreign document, and the guide that reads it; for the tests of field guides."""

from typing import Any

from fleet.snapshots.guide_facts import Fact, NodeFact
from fleet.snapshots.guides import FieldGuide, FieldRule, NodeRule, NodeTable
from fleet.snapshots.readings import Reading
from fleet.snapshots.rows import Form, Rows, Source

KEY = "4f1c9a3377e2b05d8c66a1f0d2935b7e"
HEAD, ROUTER, SLEEPER = "02C3D40000000001", "02A4C10000000011", "02A4C10000000012"


def document() -> dict[str, Any]:
    """A head, a router below it and a sleeper below the router."""
    return {
        "own": "02:c3:d4:00:00:00:00:01",
        "net": {"wide": "8f3a5501c27be904", "pan": "0x1a2b", "slot": "15"},
        "safe": [
            {"live": False, "key": "00" * 16, "no": 1, "sent": 0},
            {"live": True, "key": KEY, "no": 2, "sent": "0x0016535a"},
        ],
        "when": 1795575600000,
        "nodes": {
            "02a4c10000000011": {"short": 4660, "up": 0, "kind": "R"},
            "02a4c10000000012": {"short": 22136, "up": 4660, "kind": "E", "key": KEY[::-1]},
        },
    }


def guide(**other: Any) -> FieldGuide:
    """Reads that document; arguments replace its parts."""
    parts: dict[str, Any] = {"name": "small", "rules": rules(), "tables": (table(),)} | other
    return FieldGuide(**parts)


def rules(**other: FieldRule) -> dict[Fact, FieldRule]:
    """For the mesh; arguments replace or add rules by the name of the fact."""
    found = {
        Fact.HEAD_ADDRESS: FieldRule("own", Reading.HEX),
        Fact.EXTENDED_PAN_ID: FieldRule("net.wide", Reading.HEX),
        Fact.PAN_ID: FieldRule("net.pan", Reading.HEX),
        Fact.CHANNEL: FieldRule("net.slot", Reading.NUMBER),
        Fact.NETWORK_KEY: FieldRule("safe[?live] | [0].key", Reading.HEX),
        Fact.KEY_SEQUENCE: FieldRule("safe[?live] | [0].no", Reading.NUMBER),
        Fact.OUTGOING_COUNTER: FieldRule("safe[?live] | [0].sent", Reading.HEX),
        Fact.TAKEN_AT: FieldRule("when", Reading.MILLISECONDS),
    }
    return found | {Fact(name): rule for name, rule in other.items()}


def table(**other: NodeRule) -> NodeTable:
    """For the nodes; arguments replace or add rules by the name of the fact."""
    found = {
        NodeFact.EXTENDED_ADDRESS: NodeRule("@", Reading.HEX, Source.NAME),
        NodeFact.SHORT_ADDRESS: NodeRule("short", Reading.NUMBER),
        NodeFact.PARENT_SHORT: NodeRule("up", Reading.NUMBER),
        NodeFact.ROLE: NodeRule("kind", Reading.WORDS, words=(("R", "router"), ("E", "end_device"))),
        NodeFact.LINK_KEY: NodeRule("key", Reading.HEX),
    }
    return NodeTable(
        Rows("nodes", Form.KEYED), found | {NodeFact(name): rule for name, rule in other.items()}
    )
