"""The effect of a change of rule, and when it needs two people."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.keeping import Copy, KeepRule, keep
from fleet.planning.marking import marks
from fleet.planning.rule_change import Effect, effect_on, is_as_seen, needs_second_person

NOW = datetime(2027, 3, 26, 12, tzinfo=UTC)
DAY = timedelta(days=1)
OSLO = ZoneInfo("Europe/Oslo")
WIDE, NARROW = KeepRule(days=5, weeks=0, months=0, years=0), KeepRule(days=2, weeks=0, months=0, years=0)
COPIES = [Copy(age, NOW - age * DAY) for age in range(6)]


def effect(before: KeepRule, after: KeepRule, marked_at: dict[int, datetime] | None = None) -> Effect:
    return effect_on(COPIES, marked_at or {}, before, after, OSLO, NOW)


def test_a_narrower_rule_marks_what_it_no_longer_holds():
    assert effect(WIDE, NARROW) == Effect(marked=3)


def test_a_wider_rule_takes_the_mark_off():
    assert effect(NARROW, WIDE) == Effect(unmarked=3)


def test_the_same_numbers_do_nothing():
    assert not effect(WIDE, WIDE)


def test_a_shorter_grace_lets_marked_copies_go_at_once():
    shorter = KeepRule(days=5, weeks=0, months=0, years=0, grace_days=3)
    assert effect(WIDE, shorter, {5: NOW - 4 * DAY}) == Effect(sooner=1)


@pytest.mark.parametrize("days", [2, 8])
def test_a_mark_that_is_too_young_or_due_anyway_is_no_effect_of_a_shorter_grace(days):
    shorter = KeepRule(days=5, weeks=0, months=0, years=0, grace_days=3)
    assert not effect(WIDE, shorter, {5: NOW - days * DAY})


@pytest.mark.parametrize(("lost", "second"), [(5, False), (6, True)])
def test_more_than_five_percent_needs_a_second_person(lost, second):
    assert needs_second_person(Effect(marked=lost), kept=100) is second
    assert needs_second_person(Effect(sooner=lost), kept=100) is second


def test_keeping_more_needs_nobody_else():
    assert not needs_second_person(Effect(unmarked=90), kept=100)


def test_an_effect_on_a_book_that_keeps_nothing_needs_two():
    assert needs_second_person(Effect(sooner=1), kept=0)


@pytest.mark.parametrize(("found", "same"), [(1000, True), (1010, True), (1011, False), (7, True)])
def test_an_effect_that_has_grown_since_is_not_the_one_that_was_seen(found, same):
    assert is_as_seen(Effect(marked=1000), Effect(marked=found)) is same


RULES = st.builds(KeepRule, st.integers(0, 6), st.integers(0, 4), st.integers(0, 4), st.integers(0, 3))
HOURS = st.lists(st.integers(0, 20_000), max_size=50, unique=True)


@given(HOURS, RULES, RULES, st.integers(0, 7))
def test_the_effect_is_exactly_what_the_next_round_does(hours, before, after, grace_days):
    after = replace(after, grace_days=grace_days)
    copies = [Copy(hour, NOW - timedelta(hours=hour)) for hour in sorted(hours)]
    kept = keep(copies, before, OSLO)
    marked_at = {copy.key: NOW - DAY for copy in copies if copy.key not in kept}

    foretold = effect_on(copies, marked_at, before, after, OSLO, NOW)

    kept_after = keep(copies, after, OSLO)
    done = marks(copies, kept_after, marked_at, NOW, after, last_round_complete=True)
    assert (foretold.marked, foretold.unmarked) == (len(done.mark), len(done.unmark))
    assert foretold.sooner == len(done.erase)
