"""What a proposal tells about itself, and how a person's choices make it a guide."""

import copy
from typing import Any

import pytest

from fleet.snapshots.decoding import ReadError
from fleet.snapshots.guide_facts import Fact, NodeFact
from fleet.snapshots.guides import FieldRule, NodeRule, read_with
from fleet.snapshots.proposal import ChoiceError, Proposal, ProposedFact
from fleet.snapshots.proposing import propose
from fleet.snapshots.readings import Reading
from tests.fleet.snapshots.foreign import key_base64, key_hex, truth
from tests.fleet.snapshots.foreign_layouts import decimal, deep, keyed, rivals, turned
from tests.fleet.snapshots.foreign_names import renamed

TRUTH = truth(3)


def proposed(proposal: Proposal, place: str) -> ProposedFact:
    return next(fact for fact in proposal.all_facts() if fact.place == place)


def test_each_fact_has_its_expression_reading_sample_confidence_and_reason() -> None:
    channel = proposed(propose(deep(TRUTH)), "channel").best

    assert channel.rule == FieldRule("radio.air.slot", Reading.NUMBER)
    assert channel.sample == str(TRUTH.channel)
    assert 0.5 <= channel.confidence <= 1
    assert channel.reason == "a number from 11 to 26, which the mask allows"


def test_each_list_says_how_many_nodes_it_has_and_why_it_was_taken() -> None:
    nodes = propose(deep(TRUTH)).lists[0]

    assert (nodes.place, nodes.adds, nodes.count) == ("nodes[0]", True, 24)
    assert nodes.reason.startswith("24 different 64-bit addresses in 24 rows")


def test_the_order_of_octets_is_told_with_its_reason() -> None:
    address = proposed(propose(turned(TRUTH)), "nodes[0].extended_address").best

    assert address.rule is not None
    assert address.rule.reading is Reading.HEX_TURNED
    assert "the leading octets repeat from address to address and the last ones do not" in address.reason


@pytest.mark.parametrize("write", [deep, turned, keyed, decimal, rivals])
def test_no_key_is_shown_anywhere(write: Any) -> None:
    text = repr(propose(write(TRUTH)))

    for key in (TRUTH.network_key, *(node.link_key for node in TRUTH.nodes)):
        assert key_hex(key) not in text.lower()
        assert key_base64(key) not in text
        assert str(list(key or b""))[1:-1] not in text
        assert str(int.from_bytes(key or b"", "big")) not in text


def test_the_sample_of_a_key_is_hidden() -> None:
    proposal = propose(deep(TRUTH))

    assert proposed(proposal, "network_key").best.sample == "(hidden)"
    assert proposed(proposal, "nodes[0].link_key").best.sample == "(hidden)"


def test_what_else_fits_is_offered_after_the_best() -> None:
    document = deep(TRUTH)
    document["radio"]["air"]["version"] = 22 if TRUTH.channel != 22 else 21

    channel = proposed(propose(document), "channel")

    assert [candidate.rule.expression for candidate in channel.candidates if candidate.rule] == [
        "radio.air.slot",
        "radio.air.version",
    ]
    assert channel.best.confidence > channel.alternatives[0].confidence


def test_a_tie_that_only_a_name_breaks_says_so() -> None:
    document = {**turned(TRUTH), "channel": TRUTH.channel, "revision": 22 if TRUTH.channel != 22 else 21}
    del document["band"]

    channel = proposed(propose(document), "channel").best

    assert channel.by_name
    assert channel.reason.endswith("one other value fits equally well, and of these its name suits best")
    assert channel.confidence <= 0.7


def test_a_tie_that_nothing_breaks_lowers_the_confidence() -> None:
    document = renamed({**turned(TRUTH), "second": 22}, 1)

    channel = proposed(propose(document), "channel").best

    assert not channel.by_name
    assert channel.confidence < 0.5


def test_a_misleading_name_does_not_win_over_values() -> None:
    document = deep(TRUTH)
    document["radio"]["air"]["channel"] = 3000
    document["radio"]["net"]["pan"] = "not a number"

    guide = propose(document).guide("x")

    assert guide.rules[Fact.CHANNEL].expression == "radio.air.slot"
    assert guide.rules[Fact.PAN_ID].expression == "radio.net.narrow"


@pytest.mark.parametrize("document", [None, 5, "text", [], {}, [1, 2], {"a": {"b": [True]}}, {"nodes": []}])
def test_a_document_without_a_list_of_nodes_gives_a_proposal_that_says_so(document: Any) -> None:
    proposal = propose(document)

    assert not proposal.has_nodes
    assert not proposal.is_complete
    assert "no list has a different 64-bit address in each row" in [each.reason for each in proposal.missing]


def test_what_was_not_found_is_named() -> None:
    document = deep(TRUTH)
    del document["radio"]["safe"]

    missing = {each.fact: each for each in propose(document).missing}

    assert missing[Fact.NETWORK_KEY].required
    assert missing[Fact.NETWORK_KEY].reason == "no value that fits the network key was found"
    assert not propose(document).is_complete


def test_a_complete_proposal_says_so() -> None:
    assert propose(deep(TRUTH)).is_complete


def test_the_guide_carries_the_fingerprint_of_the_document() -> None:
    proposal = propose(deep(TRUTH))

    assert proposal.guide("x").fingerprints == (proposal.fingerprint,)


def test_a_person_may_choose_another_candidate() -> None:
    document = deep(TRUTH)
    document["radio"]["air"]["version"] = 22 if TRUTH.channel != 22 else 21

    guide = propose(document).guide("x", {"channel": 1})

    assert guide.rules[Fact.CHANNEL].expression == "radio.air.version"


def test_a_person_may_leave_a_fact_or_a_list_out() -> None:
    proposal = propose(rivals(TRUTH))
    assert len(proposal.lists) == 2

    guide = proposal.guide("x", {"taken_at": None, "nodes[0].role": None, "nodes[1]": False})

    assert Fact.TAKEN_AT not in guide.rules
    assert NodeFact.ROLE not in guide.tables[0].rules
    assert len(guide.tables) == 1


def test_a_person_may_write_a_rule_of_their_own() -> None:
    own = FieldRule("about.rev", Reading.NUMBER)
    short = NodeRule("who.near", Reading.HEX_TURNED)

    guide = propose(deep(TRUTH)).guide("x", {"update_id": own, "nodes[0].short_address": short})

    assert guide.rules[Fact.UPDATE_ID] == own
    assert guide.tables[0].rules[NodeFact.SHORT_ADDRESS] == short


def test_a_person_may_state_what_the_document_does_not() -> None:
    document = keyed(TRUTH)
    del document["crypt"][0]["ix"]

    guide = propose(document).guide("x", {"key_sequence": None}, fixed={Fact.KEY_SEQUENCE: 0})

    assert read_with(guide, document).key_sequence == 0


@pytest.mark.parametrize("choices", [{"colour": 1}, {"channel": 9}, {"channel": True}, {"nodes[7]": False}])
def test_a_choice_that_was_not_offered_is_refused(choices: dict[str, Any]) -> None:
    with pytest.raises(ChoiceError):
        propose(deep(TRUTH)).guide("x", choices)


def test_a_second_place_of_the_counter_is_found() -> None:
    document = {**turned(TRUTH), "again": {"sent": TRUTH.outgoing_counter}}

    guide = propose(document).guide("x")

    assert [copy.expression for copy in guide.counter_copies] == ["again.sent"]


def test_lists_that_could_hold_the_nodes_instead_are_told() -> None:
    assert "neighbours: 8 different 64-bit addresses" in propose(rivals(TRUTH)).other_lists


def test_a_list_whose_nodes_may_have_left_is_offered_and_not_taken() -> None:
    document = turned(TRUTH)
    document["removed"] = document["entries"][:3]
    document["entries"] = document["entries"][3:]

    proposal = propose(document)

    assert [(each.rows.items, each.is_taken) for each in proposal.lists] == [
        ("entries", True),
        ("removed", False),
    ]
    assert len(read_with(proposal.guide("x"), document).nodes) == 21
    assert len(read_with(proposal.guide("x", {"nodes[1]": True}), document).nodes) == 24


def test_a_head_that_is_only_a_row_is_known_by_its_short_address() -> None:
    head = proposed(propose(decimal(TRUTH)), "head_address").best

    assert head.rule is None
    assert head.sample.replace(" ", "") == TRUTH.head_address


def test_proposing_leaves_the_document_as_it_was() -> None:
    document = rivals(TRUTH)
    before = copy.deepcopy(document)

    propose(document)

    assert document == before


def test_an_incomplete_guide_reads_nothing_and_says_what_is_missing() -> None:
    with pytest.raises(ReadError, match="a guide that says where the network key stands"):
        read_with(propose({"nodes": [{"a": "02A4C10000000011"}]}).guide("x"), {})
