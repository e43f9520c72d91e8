"""Whose years a rate of failure is taken from, and what radios have served."""

from datetime import UTC, datetime, timedelta

import pytest

from fleet.planning.service_years import (
    YEAR,
    Build,
    Period,
    Served,
    Speaks,
    family_rate,
    rate_of,
    served,
)

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)
OLD, NEW, OTHER = Build("P", "A2", "6.9"), Build("P", "A2", "6.10"), Build("R", "C3", "R3.14")


def test_time_in_service_runs_to_its_end_or_to_now():
    periods = [
        Period(OLD, NOW - 3 * YEAR, NOW - YEAR, failed=True),
        Period(OLD, NOW - YEAR, None, failed=False),
    ]
    assert served(periods, NOW) == {OLD: Served(1, pytest.approx(3.0))}


def test_a_radio_taken_out_for_another_reason_adds_its_years_and_no_failure():
    assert served([Period(OLD, NOW - 2 * YEAR, NOW, failed=False)], NOW)[OLD] == Served(0, 2.0)


def test_what_begins_or_fails_after_now_is_not_there_yet():
    periods = [
        Period(OLD, NOW + timedelta(days=1), None, failed=False),
        Period(NEW, NOW - YEAR, NOW + timedelta(days=1), failed=True),
    ]
    assert served(periods, NOW) == {NEW: Served(0, pytest.approx(1.0))}


BOOK = {OLD: Served(2, 400.0), NEW: Served(0, 12.0), OTHER: Served(0, 12.0)}


def test_a_build_with_thirty_years_speaks_for_itself():
    """2 in 400: upper bound 0.0157 (trade rule C12)."""
    rate = rate_of(OLD, BOOK)
    assert (rate.speaks, rate.of, round(rate.upper, 4)) == (Speaks.BUILD, "A2 6.9", 0.0157)


def test_a_build_with_fewer_goes_by_its_family():
    """2 in 412: chi-square(0.95, 6) / 824 = 12.5916 / 824."""
    rate = rate_of(NEW, BOOK)
    assert (rate.speaks, rate.of) == (Speaks.FAMILY, "family P")
    assert rate.upper == pytest.approx(12.591587 / 824)


def test_a_family_with_few_years_keeps_its_own_wide_bound():
    """0 in 12: upper bound 0.2496 (trade rule C12), never 0."""
    rate = rate_of(OTHER, BOOK)
    assert (rate.speaks, round(rate.upper, 4)) == (Speaks.FAMILY_WITH_FEW, 0.2496)


def test_thirty_years_are_enough_and_a_day_less_is_not():
    enough = {OLD: Served(0, 30.0)}
    short = {OLD: Served(0, 30.0 - 1 / 365)}
    assert (rate_of(OLD, enough).speaks, rate_of(OLD, short).speaks) == (Speaks.BUILD, Speaks.FAMILY_WITH_FEW)


def test_a_family_that_never_served_has_no_rate():
    assert family_rate("Q", BOOK).upper is None
