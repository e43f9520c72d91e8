from datetime import UTC, datetime, timedelta

import pytest

from fleet.planning.drills import (
    DrillError,
    DrillFacts,
    DrillKind,
    DrillState,
    agreed_interval,
    drills_to_rule_out,
    failing_share_upper,
    judge_drills,
)

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)


def drill(days_ago: float, kind: DrillKind = DrillKind.BENCH, passed: bool = True) -> DrillFacts:
    return DrillFacts(kind, NOW - timedelta(days=days_ago), passed)


@pytest.mark.parametrize(
    ("days_ago", "state"),
    [
        (0, DrillState.CURRENT),
        (151.9, DrillState.CURRENT),
        (152, DrillState.DUE),
        (182, DrillState.DUE),
        (182.1, DrillState.OVERDUE),
        (214, DrillState.OVERDUE),
    ],
)
def test_a_drill_ages_from_current_over_due_to_overdue(days_ago, state):
    assert judge_drills([drill(days_ago)], 182, NOW).state is state


def test_a_home_without_a_drill_was_never_drilled():
    assert judge_drills([], 182, NOW).state is DrillState.NEVER


def test_a_paper_walk_through_does_not_count():
    found = judge_drills([drill(1, DrillKind.PAPER), drill(214)], 182, NOW)
    assert found.state is DrillState.OVERDUE


def test_a_live_swap_counts():
    assert judge_drills([drill(1, DrillKind.LIVE)], 182, NOW).state is DrillState.CURRENT


def test_the_newest_drill_decides_whatever_the_order():
    assert judge_drills([drill(3), drill(400), drill(214)], 182, NOW).last_at == NOW - timedelta(days=3)


def test_a_failed_drill_must_be_repeated():
    found = judge_drills([drill(40), drill(3, passed=False)], 182, NOW)
    assert (found.state, found.because) == (DrillState.FAILED, "The last drill, 3 days ago, failed.")


def test_a_drill_dated_after_now_does_not_count():
    assert judge_drills([drill(-1)], 182, NOW).state is DrillState.NEVER


def test_a_standing_says_the_figures():
    found = judge_drills([drill(214)], 182, NOW)
    assert found.because == "The last drill was 214 days ago; the limit is 182 days."


def test_the_due_day_is_an_interval_after_the_last_drill():
    assert judge_drills([drill(82)], 182, NOW).due_at == NOW + timedelta(days=100)


@pytest.mark.parametrize(
    ("days_ago", "within"), [(10, True), (170, True), (214, False)], ids=["current", "due", "overdue"]
)
def test_due_is_still_within_the_interval(days_ago, within):
    assert judge_drills([drill(days_ago)], 182, NOW).within_interval is within


def test_no_drill_allows_no_claim():
    assert failing_share_upper(0) == 1


def test_a_book_of_one_home_needs_its_one_drill():
    assert drills_to_rule_out(1) == 1


def test_to_rule_out_that_all_are_bad_takes_one_drill():
    assert drills_to_rule_out(40, share=1) == 1


def test_an_interval_of_no_days_is_refused():
    with pytest.raises(DrillError, match="interval is 0 days"):
        judge_drills([], 0, NOW)


def test_a_negative_count_of_drills_is_refused():
    with pytest.raises(DrillError, match="count of drills is -1"):
        failing_share_upper(-1)


@pytest.mark.parametrize(
    ("agreed", "guards", "days"),
    [(None, False, 365), (None, True, 182), (365, True, 182), (90, True, 90), (730, False, 730)],
    ids=["usual", "usual-safety", "agreed-too-long-for-safety", "agreed-short", "agreed-long"],
)
def test_the_interval_is_as_agreed_and_six_months_at_most_where_devices_guard(agreed, guards, days):
    """Trade rule C16: 12 months, homes with safety devices 6 months."""
    assert agreed_interval(agreed, guards) == days


def test_a_drill_for_its_own_pair_only_says_nothing_of_the_home():
    other = DrillFacts(DrillKind.BENCH, NOW - timedelta(days=1), passed=True, own_pair_only=True)
    failed = DrillFacts(DrillKind.BENCH, NOW - timedelta(days=1), passed=False, own_pair_only=True)

    assert judge_drills([other], 182, NOW).state is DrillState.NEVER
    assert judge_drills([failed, drill(20)], 182, NOW).state is DrillState.CURRENT
