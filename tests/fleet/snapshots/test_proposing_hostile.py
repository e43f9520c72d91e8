"""No document makes the proposer fail, and what it proposes never fails otherwise than by a ReadError."""

from contextlib import suppress
from typing import Any

import orjson
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.snapshots.decoding import ReadError, decode
from fleet.snapshots.fingerprint import layout_fingerprint
from fleet.snapshots.guides import counter_places, from_json, read_with, to_json
from fleet.snapshots.proposal import Proposal
from fleet.snapshots.proposing import propose

ADDRESSES = st.integers(0, 2**64 - 1).map(lambda number: f"{number:016x}")
VALUES = (
    st.none()
    | st.booleans()
    | st.integers(-(2**63), 2**64 - 1)
    | st.integers(0, 300)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=8)
    | ADDRESSES
    | st.binary(min_size=16, max_size=16).map(bytes.hex)
    | st.lists(st.integers(0, 255), min_size=8, max_size=8)
    | st.sampled_from(
        ["2026-11-25T03:00:00Z", "0x1a2b", "15", "router", "", "'", '"', "\\", "a.b", "[0]", "*"]
    )
)
NAMES = st.text(max_size=5) | ADDRESSES | st.sampled_from(["a", "b", "nodes", "0", "1", "0x0001"])
ROWS = st.dictionaries(NAMES, VALUES, max_size=5)
DOCUMENTS = st.recursive(
    VALUES | st.lists(ROWS, max_size=6) | st.dictionaries(ADDRESSES, ROWS | VALUES, max_size=4),
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(NAMES, inner, max_size=5),
    max_leaves=25,
)


@settings(max_examples=400, deadline=None)
@given(DOCUMENTS)
def test_any_document_gives_a_proposal_whose_guide_reads_it_or_says_why_not(document: Any) -> None:
    try:
        value = decode(orjson.dumps(document))
    except ReadError:
        return

    proposal = propose(value)

    assert isinstance(proposal, Proposal)
    guide = proposal.guide("proposed")
    assert from_json(to_json(guide)) == guide
    with suppress(ReadError):
        read_with(guide, value)
        counter_places(guide, value)


LARGE = {
    "names": lambda: {f"a{number}": number for number in range(190_000)},
    "addresses": lambda: [f"{number * 7919:016x}" for number in range(190_000)],
    "named by addresses": lambda: {f"{number:016x}": number for number in range(100_000)},
    "columns": lambda: {f"c{at}": [f"{at * row * 7919:016x}" for row in range(600)] for at in range(300)},
    "lists of lists": lambda: [[number, number + 1, number + 2] for number in range(45_000)],
    "nested": lambda: [{"a": [{"b": [{"c": [1, 2]}] * 5}] * 5} for _ in range(1_500)],
    "sections": lambda: [{"kind": f"k{number}", "value": number} for number in range(60_000)],
    "unlike rows": lambda: [{f"k{row}_{at}": at for at in range(9)} for row in range(15_000)],
    "long texts": lambda: ["ab" * 1_000 for _ in range(1_900)],
    "typed arrays": lambda: [{"k": {str(place): place for place in range(16)}} for _ in range(9_000)],
    "deep": lambda: [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]],
}


@pytest.mark.parametrize("name", LARGE)
def test_a_large_document_of_any_shape_gives_a_proposal(name: str) -> None:
    proposal = propose(decode(orjson.dumps(LARGE[name]())))

    assert not proposal.is_complete


@pytest.mark.parametrize("name", LARGE)
def test_a_large_document_of_any_shape_has_a_fingerprint(name: str) -> None:
    assert len(layout_fingerprint(LARGE[name]())) == 32


def test_a_document_too_large_to_look_through_says_so() -> None:
    assert propose(LARGE["names"]()).left_out
