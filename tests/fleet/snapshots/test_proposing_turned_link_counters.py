"""Counters of nodes whose octets stand in the other order are proposed as such; where nobody can tell, both are."""

import pytest

from fleet.snapshots.choosing import chosen_guide
from fleet.snapshots.guide_facts import NodeFact
from fleet.snapshots.guides import read_with
from fleet.snapshots.proposal import ProposedFact
from fleet.snapshots.proposing import propose
from fleet.snapshots.readings import Reading

COUNTS = [70_000 + number * 7919 for number in range(1, 13)]


def written(count: int, order: str) -> str:
    return count.to_bytes(4, order).hex()


def document(counters: list[object], turned: bool = False) -> dict[str, object]:
    """An invented layout with a counter for each node; turned: its addresses stand in the other order."""
    addresses = [f"02A4C138{number * 0x01234567 & 0xFFFFFFFF:08X}" for number in range(1, len(counters) + 1)]
    if turned:
        addresses = [bytes.fromhex(address)[::-1].hex() for address in addresses]
    return {
        "ctl": {"frames": 1_463_120, "secret": "9f3c71a4d2e85b06177a4c93be20f8d1", "chan": 15, "pan": "9F77"},
        "net": {"head": "02A4C138FFFE0001", "xpan": "D5C3B1A49786F5E4"},
        "list": [
            {"ieee": address, "nwk": f"{number + 4660:04X}", "tx_counter": counter}
            for number, (address, counter) in enumerate(zip(addresses, counters, strict=True))
        ],
    }


def proposed(counters: list[object], turned: bool = False) -> ProposedFact:
    lists = propose(document(counters, turned)).lists
    return next(fact for each in lists for fact in each.facts if fact.fact is NodeFact.OUTGOING_COUNTER)


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(("order", "reading"), [("big", Reading.HEX), ("little", Reading.HEX_TURNED)])
def test_small_counters_of_many_nodes_tell_their_order(order, reading, turned):
    fact = proposed([written(count, order) for count in COUNTS], turned)

    assert (fact.best.rule.reading, fact.is_taken) == (reading, True)
    assert fact.best.reason.startswith(f"numbers up to {max(COUNTS)}")
    assert len({each.rule.reading for each in fact.candidates}) == 2


@pytest.mark.parametrize(("order", "reading"), [("big", Reading.OCTETS), ("little", Reading.OCTETS_TURNED)])
def test_lists_of_octets_tell_it_too(order, reading):
    fact = proposed([list(count.to_bytes(4, order)) for count in COUNTS])

    assert fact.best.rule.reading is reading


@pytest.mark.parametrize("turned", [False, True])
def test_counters_that_could_stand_either_way_are_offered_both_ways_and_not_taken(turned):
    fact = proposed([f"{number:02x}3344{number:02x}" for number in range(0x11, 0x1D)], turned)

    assert {each.rule.reading for each in fact.candidates} == {Reading.HEX, Reading.HEX_TURNED}
    assert not fact.is_taken
    assert "either way" in fact.best.reason


def test_eight_bare_digits_in_a_row_or_two_are_doubted():
    fact = proposed(["50531600", "21741700"])

    assert [each.rule.reading for each in fact.candidates] == [Reading.NUMBER, Reading.HEX_TURNED]
    assert not fact.is_taken


def test_eight_bare_digits_in_many_rows_are_decimal():
    fact = proposed([f"{50_531_600 + count}" for count in COUNTS])

    assert [each.rule.reading for each in fact.candidates] == [Reading.NUMBER]


def test_counters_of_different_lengths_stand_one_way_only():
    fact = proposed([f"{count:x}" for count in COUNTS])

    assert [each.rule.reading for each in fact.candidates] == [Reading.HEX]


def test_the_guide_reads_the_counters_the_right_way_round():
    given = document([written(count, "little") for count in COUNTS])
    stated = {
        "head_address": "net.head as hex",
        "extended_pan_id": "net.xpan as hex",
        "key_sequence": "0",
    }

    guide = chosen_guide(propose(given), "invented", {}, stated)

    assert [node.outgoing_counter for node in read_with(guide, given).nodes] == COUNTS
