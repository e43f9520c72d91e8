"""The chain of the journal: whatever is done to a line is found, at its place."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.journal_chain import FIRST, Break, Fault, Head, Line, Link, checked, continued, digest_of

START = datetime(2027, 3, 26, 8, tzinfo=UTC)
LINES = [Line(START + timedelta(minutes=n), "Orla", "round done", f"KELP-{n}", {"n": n}) for n in range(1, 9)]
places = st.integers(1, len(LINES))


def chain() -> tuple[list[Link], Head]:
    links = list(continued(Head(), LINES))
    return links, Head(links[-1].place, links[-1].digest)


def numbered(links: list[Link]) -> list[Link]:
    return [replace(link, place=place) for place, link in enumerate(links, 1)]


def test_an_untouched_chain_holds():
    links, head = chain()
    assert checked(links, head) is None


def test_an_empty_chain_holds():
    assert checked([], Head()) is None


def test_a_chain_goes_on_from_its_head():
    links, head = chain()
    first = list(continued(Head(), LINES[:3]))
    assert [*first, *continued(Head(3, first[-1].digest), LINES[3:])] == links
    assert head.place == len(LINES)


@given(
    places,
    st.sampled_from([{"who": "Niall"}, {"what": "x"}, {"subject": ""}, {"details": {}}, {"at": START}]),
)
def test_a_changed_line_is_found_at_its_place(place, change):
    links, head = chain()
    link = links[place - 1]
    links[place - 1] = replace(link, line=replace(link.line, **change))
    assert checked(links, head) == Break(place, Fault.CHANGED)


@given(places)
def test_a_changed_line_with_a_digest_made_anew_is_found_at_the_next(place):
    links, head = chain()
    before = links[place - 2].digest if place > 1 else FIRST
    line = replace(links[place - 1].line, who="Niall")
    links[place - 1] = Link(place, digest_of(before, place, line), line)
    found = checked(links, head)
    assert found == (Break(place + 1, Fault.CHANGED) if place < len(LINES) else Break(place, Fault.OTHER))


@given(places)
def test_a_line_taken_out_is_found(place):
    links, head = chain()
    del links[place - 1]
    found = checked(links, head)
    assert found == (Break(place + 1, Fault.MISSING) if place < len(LINES) else Break(place - 1, Fault.CUT))


@given(places)
def test_a_line_taken_out_and_the_rest_moved_up_is_found(place):
    links, head = chain()
    del links[place - 1]
    assert checked(numbered(links), head) is not None


@given(places, places)
def test_two_lines_in_each_others_place_are_found(one, other):
    links, head = chain()
    links[one - 1], links[other - 1] = links[other - 1], links[one - 1]
    found = checked(numbered(links), head)
    assert (found is None) is (one == other)
    if found:
        assert found.place == min(one, other)


def test_a_line_put_behind_the_head_is_found():
    links, head = chain()
    more = list(continued(head, LINES[:1]))
    assert checked([*links, *more], head) == Break(head.place, Fault.LONGER)


@given(places)
def test_a_chain_written_anew_from_a_line_on_is_found_by_a_head_on_paper(place):
    links, head = chain()
    kept, before = links[: place - 1], links[place - 2].digest if place > 1 else FIRST
    forged = [replace(LINES[place - 1], who="Niall"), *LINES[place:]]
    anew = [*kept, *continued(Head(place - 1, before), forged)]
    ends = Head(anew[-1].place, anew[-1].digest)
    assert checked(anew, ends) is None  # alone it cannot be told
    assert checked(anew, ends, [head]) == Break(head.place, Fault.OTHER)


def test_lines_taken_from_the_end_are_found_by_a_head_on_paper():
    links, head = chain()
    ends = Head(links[5].place, links[5].digest)
    assert checked(links[:6], ends) is None
    assert checked(links[:6], ends, [head]) == Break(6, Fault.CUT)


def test_the_digest_can_be_worked_out_with_common_tools():
    """By hand: printf '%s' '{"at":...}' | sha256sum, the members sorted as RFC 8785 says."""
    line = Line(START, "Orla", "round done", "KELP-1", {"n": 1})
    text = (
        '{"at":"2027-03-26T08:00:00.000000+00:00","before":"' + FIRST + '","details":{"n":1},"place":1,'
        '"subject":"KELP-1","what":"round done","who":"Orla"}'
    )
    from hashlib import sha256

    assert digest_of(FIRST, 1, line) == sha256(text.encode()).hexdigest()


@pytest.mark.parametrize("fault", list(Fault))
def test_each_fault_has_words(fault):
    assert fault.words
