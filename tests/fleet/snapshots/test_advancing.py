"""A document made ready to restore, in our own layout and in foreign ones."""

from dataclasses import replace
from typing import Any

import orjson
import pytest

from fleet.mesh.counters import SPACE_END
from fleet.snapshots import own_layout
from fleet.snapshots.advancing import advance
from fleet.snapshots.decoding import ReadError, decode
from fleet.snapshots.guide_facts import NodeFact
from fleet.snapshots.guides import FieldGuide, FieldRule, NodeRule, NodeTable, read_with
from fleet.snapshots.proposing import propose
from fleet.snapshots.readings import Reading
from fleet.snapshots.rows import Rows
from fleet.snapshots.writing_back import WriteBackError
from tests.fleet.snapshots import guided, making
from tests.fleet.snapshots.foreign import Layout, truth
from tests.fleet.snapshots.foreign_layouts import LAYOUTS
from tests.fleet.snapshots.foreign_mix import mix
from tests.fleet.snapshots.guided import ROUTER, SLEEPER

WAS, START = 1_463_120, 17_080_656
"""Trade C1: written, and to be written."""


def own(**security: int) -> dict[str, Any]:
    document = making.document()
    document["security"] |= {"outgoingCounter": WAS, **security}
    return document


def test_counters_of_link_keys_rise_by_as_much_and_those_of_others_stay():
    document = own()

    written = decode(advance(making.octets(document), None, START))

    document["security"]["outgoingCounter"] = START
    for node in document["nodes"]:
        node["link"]["outgoingCounter"] += START - WAS
    assert written == document


def test_a_link_key_without_room_for_the_rise_is_named():
    document = own()
    document["nodes"][3]["link"]["outgoingCounter"] = SPACE_END - 10

    with pytest.raises(
        WriteBackError, match=r"\$\.nodes\[3\]\.link\.outgoingCounter: .* join that device anew"
    ):
        advance(making.octets(document), None, START)


def foreign(**other: Any) -> tuple[bytes, FieldGuide]:
    """The small foreign document with a counter for each link key in another notation, and its guide."""
    document = guided.document() | {
        "links": [{"of": ROUTER, "tx": [0, 0, 1, 2], "rx": 9}, {"of": SLEEPER, "tx": [0, 0, 0, 7], "rx": 8}]
    }
    rules = {
        NodeFact.EXTENDED_ADDRESS: NodeRule("of", Reading.HEX),
        NodeFact.OUTGOING_COUNTER: NodeRule("tx", Reading.OCTETS),
        NodeFact.INCOMING_COUNTER: NodeRule("rx", Reading.NUMBER),
    }
    links = NodeTable(Rows("links"), rules, adds=False)
    guide = guided.guide(tables=(guided.table(), links), **other.pop("guide", {}))
    return orjson.dumps(document | other), guide


def test_a_foreign_document_says_the_same_with_higher_counters():
    body, guide = foreign()
    before = read_with(guide, decode(body))

    after = read_with(guide, decode(advance(body, guide, START)))

    rise = START - before.outgoing_counter
    nodes = tuple(replace(node, outgoing_counter=node.outgoing_counter + rise) for node in before.nodes)
    assert after == replace(before, outgoing_counter=START, nodes=nodes)


def test_only_the_counters_of_a_foreign_document_change():
    body, guide = foreign()

    written = advance(body, guide, 1463130 + 0x10000)

    assert written == body.replace(b"0x0016535a", b"0x0017535a").replace(b"[0,0,1,2]", b"[0,1,1,2]").replace(
        b"[0,0,0,7]", b"[0,1,0,7]"
    )


def test_each_copy_of_the_counter_is_written_in_its_own_notation():
    copies = (FieldRule("again", Reading.NUMBER), FieldRule("octets", Reading.OCTETS_TURNED))
    body, guide = foreign(guide={"counter_copies": copies}, again="1,463,130", octets=[0x5A, 0x53, 0x16, 0])

    written = decode(advance(body, guide, START))

    assert (written["again"], written["octets"]) == ("17,080,656", [0x50, 0xA1, 4, 1])


def test_a_copy_that_stands_higher_than_the_number_is_refused():
    body, guide = foreign(guide={"counter_copies": (FieldRule("again", Reading.NUMBER),)}, again=START + 1)

    with pytest.raises(WriteBackError, match=r"\$\.again: 17080656 cannot be written: right is 17080657"):
        advance(body, guide, START)


@pytest.mark.parametrize(
    "expression", ["min([a, b])", "list[?n==`1463130`] | [0].n", "list[?n<`2000000`] | [0].n"]
)
def test_a_counter_that_the_guide_would_not_find_again_is_refused(expression: str):
    rules = guided.rules(outgoing_counter=FieldRule(expression, Reading.NUMBER))
    body, guide = foreign(guide={"rules": rules}, a=1463130, b=1463130, list=[{"n": 1463130}])

    with pytest.raises((WriteBackError, ReadError)):
        advance(body, guide, START)


def test_a_counter_worked_out_from_several_values_is_refused():
    rules = guided.rules(outgoing_counter=FieldRule("[a, b, c, d]", Reading.OCTETS))
    body, guide = foreign(guide={"rules": rules}, a=0, b=22, c=83, d=80)

    with pytest.raises(ReadError, match="no number can be put into one worked out"):
        advance(body, guide, START)


def test_a_number_too_large_for_its_place_is_refused():
    rules = guided.rules(outgoing_counter=FieldRule("short", Reading.HEX))
    body, guide = foreign(guide={"rules": rules}, short="0x0a5a")

    with pytest.raises(WriteBackError, match=r"\$\.short: 17080656 does not fit the 6 characters"):
        advance(body, guide, START)


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_every_layout_that_can_be_read_can_be_given_back(layout: Layout):
    assert_given_back(layout.write(truth(3)))


@pytest.mark.parametrize("seed", range(80))
def test_a_layout_put_together_by_lot_can_be_given_back(seed: int):
    assert_given_back(mix(truth(seed, 18), seed).document)


def assert_given_back(document: Any) -> None:
    body = orjson.dumps(document)
    guide = propose(decode(body)).guide("proposed")
    before = read_with(guide, decode(body))
    start = before.outgoing_counter + 20_000_000

    written = advance(body, guide, start)

    after = read_with(guide, decode(written))
    assert after.outgoing_counter == start
    assert replace(after, outgoing_counter=0, nodes=()) == replace(before, outgoing_counter=0, nodes=())
    assert [replace(node, outgoing_counter=0) for node in after.nodes] == [
        replace(node, outgoing_counter=0) for node in before.nodes
    ]


def test_a_document_of_the_books_own_writing_can_be_given_back():
    facts = replace(own_layout.read(making.document()), outgoing_counter=WAS)

    written = own_layout.read(decode(advance(own_layout.write(facts), None, START)))

    assert written.outgoing_counter == START
