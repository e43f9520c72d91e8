"""Counters whose octets stand in the other order are proposed as such, or at least offered."""

import pytest

from fleet.snapshots.guide_facts import Fact
from fleet.snapshots.proposal import ProposedFact
from fleet.snapshots.proposing import propose
from fleet.snapshots.readings import Reading


def proposed(counter: object, turned: bool) -> ProposedFact:
    """The counter of an invented layout whose addresses stand in either order."""
    addresses = [f"02A4C138{number * 0x01234567 & 0xFFFFFFFF:08X}" for number in range(1, 13)]
    if turned:
        addresses = [bytes.fromhex(address)[::-1].hex() for address in addresses]
    document = {
        "ctl": {"frames": counter, "secret": "9f3c71a4d2e85b06177a4c93be20f8d1", "chan": 15, "pan": "9F77"},
        "list": [
            {"ieee": address, "nwk": f"{number + 4660:04X}"} for number, address in enumerate(addresses)
        ],
    }
    return next(fact for fact in propose(document).facts if fact.fact is Fact.OUTGOING_COUNTER)


@pytest.mark.parametrize("turned", [False, True])
def test_a_hex_counter_past_half_of_its_space_is_read_the_other_way(turned):
    fact = proposed("0xaee38804", turned)

    assert (fact.best.rule.reading, fact.best.sample) == (Reading.HEX_TURNED, "76080046")


def test_a_usual_hex_counter_is_read_as_it_stands_and_the_other_way_is_offered():
    fact = proposed("0x0488e3ae", turned=False)

    assert fact.best.rule.reading is Reading.HEX
    assert Reading.HEX_TURNED in {each.rule.reading for each in fact.alternatives}


def test_addresses_that_are_reversed_speak_for_a_counter_that_is():
    assert proposed("0x50531600", turned=True).best.rule.reading is Reading.HEX_TURNED


@pytest.mark.parametrize("turned", [False, True])
def test_eight_digits_that_could_be_either_are_doubted_and_both_offered(turned):
    fact = proposed("50531600", turned)

    samples = {fact.best.sample, fact.alternatives[0].sample}
    assert samples == {"50531600", "1463120"}
    assert fact.best.confidence < 0.6
    assert fact.best.sample == ("1463120" if turned else "50531600")


def test_octet_lists_are_turned_too():
    fact = proposed([0xAE, 0xE3, 0x88, 0x04], turned=True)

    assert (fact.best.rule.reading, fact.best.sample) == (Reading.OCTETS_TURNED, "76080046")
