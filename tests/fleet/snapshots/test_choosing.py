"""What a person says to a proposal becomes a guide, or a sentence that says what would be right."""

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.snapshots.choosing import Unclear, chosen_guide
from fleet.snapshots.guide_facts import Fact, NodeFact
from fleet.snapshots.guides import faults, from_json, lacking, read_with, to_json
from fleet.snapshots.proposing import propose
from fleet.snapshots.readings import Reading
from tests.fleet.snapshots.foreign import truth
from tests.fleet.snapshots.foreign_layouts import deep

TRUTH = truth(5)
DOCUMENT = deep(TRUTH)
PROPOSAL = propose(DOCUMENT)


def chosen(picked=None, stated=None, name="deep"):
    return chosen_guide(PROPOSAL, name, picked or {}, stated or {})


def wrong(**said) -> list[tuple[str, str, str]]:
    with pytest.raises(Unclear) as caught:
        chosen(**said)
    return [(problem.path, problem.value, problem.expected) for problem in caught.value.problems]


def test_nothing_said_is_the_proposal_itself():
    assert chosen() == PROPOSAL.guide("deep")


def test_candidates_are_counted_from_one():
    second = next(fact for fact in PROPOSAL.facts if fact.place == "head_address").candidates[1]

    assert chosen(picked={"head_address": "2"}).rules[Fact.HEAD_ADDRESS] == second.rule


def test_a_fact_and_a_list_can_be_left_out():
    guide = chosen(picked={"channel_mask": "out", "nodes[0].last_heard": "out"})

    assert Fact.CHANNEL_MASK not in guide.rules
    assert NodeFact.LAST_HEARD not in guide.tables[0].rules
    assert chosen(picked={"nodes[0]": "out"}).tables == ()


def test_a_value_is_stated_for_all_documents_and_goes_before_what_was_found():
    guide = chosen(stated={"key_sequence": "7"})

    assert guide.fixed == {Fact.KEY_SEQUENCE: 7}
    assert Fact.KEY_SEQUENCE not in guide.rules
    assert read_with(guide, DOCUMENT).key_sequence == 7


def test_a_place_is_stated_with_its_reading():
    guide = chosen(stated={"pan_id": "radio.net.narrow as hex", "nodes[0].short_address": "who.near as hex"})

    assert (guide.rules[Fact.PAN_ID].expression, guide.rules[Fact.PAN_ID].reading) == (
        "radio.net.narrow",
        Reading.HEX,
    )
    assert read_with(guide, DOCUMENT).pan_id == TRUTH.pan_id


@pytest.mark.parametrize(
    ("said", "path", "value", "right"),
    [
        ({"picked": {"channel": "9"}}, "channel", '"9"', "1 or out"),
        ({"picked": {"nodes[0]": "2"}}, "nodes[0]", '"2"', "in or out"),
        ({"picked": {"colour": "1"}}, "colour", '"1"', "one of the places"),
        ({"stated": {"colour": "1"}}, "colour", "", "one of the facts head_address"),
        ({"stated": {"nodes[7].role": "kind as text"}}, "nodes[7].role", "", "one of the lists nodes[0]"),
        ({"stated": {"key_sequence": "seven"}}, "key_sequence", '"seven"', "a number from 0 to 255"),
        ({"stated": {"key_sequence": "256"}}, "fixed.key_sequence", "256", "a number from 0 to 255"),
        ({"stated": {"security_mode": "both"}}, "fixed.security_mode", "both", "central or distributed"),
        ({"stated": {"pan_id": "6699"}}, "pan_id", '"6699"', "net.value as hex"),
        ({"stated": {"pan_id": "net as text"}}, "pan_id", '"net as text"', "net.value as hex"),
        ({"stated": {"pan_id": "net..pan as hex"}}, "mesh.pan_id.expression", "", "JMESPath"),
        ({"name": " "}, "name", "", "a name of 1 to 60 characters"),
        ({"name": "x" * 61}, "name", "", "a name of 1 to 60 characters"),
    ],
)
def test_what_cannot_be_meant_is_named_with_what_would_be_right(said, path, value, right):
    ((found_path, found_value, found_right),) = wrong(**said)

    assert (found_path, found_value) == (path, value)
    assert right in found_right


def test_everything_that_is_wrong_is_told_at_once():
    assert len(wrong(picked={"channel": "9", "colour": "1"}, stated={"key_sequence": "x"})) == 3


def test_what_a_guide_lacks_is_what_no_snapshot_can_do_without():
    assert lacking(chosen()) == ()
    assert lacking(chosen(picked={"key_sequence": "out", "channel_mask": "out"})) == (Fact.KEY_SEQUENCE,)
    assert lacking(chosen(picked={"key_sequence": "out"}, stated={"key_sequence": "0"})) == ()


def test_more_lists_than_a_guide_may_hold_are_refused_before_it_is_kept():
    document = deep(TRUTH)
    for number in range(60):
        document[f"room{number}"] = [
            {"who": {"long": f"0x02A4C1{number:02X}{row:02X}5EA7{row * 7:02X}"}, "q": row} for row in range(5)
        ]

    with pytest.raises(Unclear, match="at most 40 lists"):
        chosen_guide(propose(document), "rooms", {}, {})


PLACES = st.sampled_from(
    [*(fact.place for fact in PROPOSAL.all_facts()), "nodes[0]", "nodes[1].role", "nodes[].x", "colour", ""]
)
WORDS = st.sampled_from(
    ["1", "2", "in", "out", "0", "-1", "net as hex", " as ", "as", "@ as number"]
) | st.text(max_size=12)


@settings(max_examples=300, deadline=None)
@given(
    st.dictionaries(PLACES, WORDS, max_size=4),
    st.dictionaries(PLACES, WORDS, max_size=4),
    st.text(max_size=70),
)
def test_whatever_is_said_gives_a_guide_without_fault_or_says_what_is_wrong(picked, stated, name):
    with suppress(Unclear):
        guide = chosen(picked, stated, name)

        assert faults(guide) == ()
        assert from_json(to_json(guide)) == guide
