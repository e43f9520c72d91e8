"""When a round may erase by its clock, and what time does not count."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.planning.clock import counted_from, judge_clock, slot_of, usual_gap

NOW = datetime(2027, 3, 26, 8, 5, tzinfo=UTC)
HOUR, DAY, MINUTE = timedelta(hours=1), timedelta(days=1), timedelta(minutes=1)
HOURLY = [NOW - hours * HOUR for hours in range(1, 13)]
DAILY = [NOW - days * DAY for days in range(1, 13)]
WEEKLY = [NOW - 7 * days * DAY for days in range(1, 13)]


@pytest.mark.parametrize("before", [HOURLY, DAILY, WEEKLY, []], ids=["hourly", "daily", "weekly", "first"])
def test_a_round_in_its_usual_rhythm_may_erase(before):
    assert judge_clock(NOW, before).may_erase


def test_a_clock_two_hours_ahead_erases_nothing_and_the_two_hours_do_not_count():
    found = judge_clock(NOW + 2 * HOUR, HOURLY)

    assert not found.may_erase
    assert found.doubted == 2 * HOUR
    assert found.notice.startswith("No round began for 3 hours, or the clock was set forward")


def test_a_clock_that_has_gone_back_erases_nothing():
    found = judge_clock(NOW - 2 * HOUR, HOURLY)

    assert not found.may_erase
    assert (
        found.notice
        == "The clock has gone back by 1 hour or more since the last round: this one erases nothing."
    )


def test_a_clock_that_disagrees_with_the_database_erases_nothing():
    found = judge_clock(NOW, HOURLY, off=-2 * HOUR)

    assert not found.may_erase
    assert (
        found.notice
        == "This machine's clock and the database's differ by 2 hours: nothing is erased until they agree."
    )


def test_clocks_a_few_seconds_apart_agree():
    assert judge_clock(NOW, HOURLY, off=timedelta(seconds=3)).may_erase


def test_one_round_that_was_missed_is_a_doubt():
    assert judge_clock(NOW, HOURLY[1:]).doubted == HOUR


def test_a_weekend_without_rounds_does_not_count_but_for_the_usual_day():
    assert judge_clock(NOW + 2 * DAY, DAILY).doubted == 2 * DAY


def test_rounds_that_somebody_started_by_hand_make_no_rhythm_under_an_hour():
    by_hand = [NOW - minutes * MINUTE for minutes in (60, 61, 62, 63, 64)]
    assert usual_gap(by_hand) == HOUR
    assert judge_clock(NOW, by_hand).may_erase


def test_without_a_rhythm_yet_a_day_is_usual():
    assert judge_clock(NOW, [NOW - DAY]).may_erase
    assert judge_clock(NOW, [NOW - 8 * DAY]).doubted == 7 * DAY


def test_grace_time_does_not_run_in_doubted_time():
    mark = NOW - 6 * DAY
    doubts = [(NOW - DAY, 2 * HOUR), (NOW, 3 * HOUR), (mark, 9 * HOUR), (mark - DAY, 9 * HOUR)]
    assert counted_from(mark, doubts) == mark + 5 * HOUR


@settings(deadline=None)
@given(ahead=st.timedeltas(-30 * DAY, 30 * DAY), wrong_from=st.integers(1, 20), right_from=st.integers(1, 40))
def test_a_clock_set_wrong_and_right_again_never_gives_more_grace_time_than_has_passed(
    ahead, wrong_from, right_from
):
    """Hourly rounds; a mark made by any of them counts for no more than the hours since, and the slack of one gap."""
    moments, doubts = [*HOURLY[::-1]], []
    for hour in range(40):
        now = NOW + hour * HOUR + (ahead if wrong_from <= hour < right_from else timedelta(0))
        judgement = judge_clock(now, moments[:-14:-1])
        doubts.append((now, judgement.doubted))
        moments.append(now)
        if judgement.may_erase:
            for ago, mark in enumerate(moments[::-1][: hour + 1]):
                assert now - counted_from(mark, doubts) <= ago * HOUR + 45 * MINUTE


@pytest.mark.parametrize(
    ("now", "slot"),
    [
        (NOW, NOW.replace(minute=0)),
        (NOW - MINUTE, NOW.replace(hour=7, minute=0)),
        (NOW + 54 * MINUTE, NOW.replace(minute=0)),
        (NOW.replace(hour=0, minute=2), datetime(2027, 3, 25, 23, tzinfo=UTC)),
    ],
)
def test_a_round_is_due_from_five_past_the_hour(now, slot):
    assert slot_of(now) == slot
