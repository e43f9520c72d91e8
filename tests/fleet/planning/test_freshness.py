from datetime import UTC, datetime, timedelta

import pytest

from fleet.planning.freshness import (
    Freshness,
    FreshnessError,
    FreshnessState,
    age_in_words,
    chance_none_lost,
    judge_freshness,
    limit_hours,
    lost_nodes,
    span_in_words,
    spans_told_apart,
)

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)


def judged(age: timedelta, limit: float | None = 24.0) -> Freshness:
    return judge_freshness(NOW - age, NOW, limit)


def test_one_join_a_month_limits_the_age_to_3_2_days():
    # Trade rule C6: ln(1/0.9) months of 30.4375 days.
    assert round(limit_hours(None, 1, 0.9) / 24, 1) == 3.2


def test_a_week_at_one_join_a_month_loses_nothing_with_79_percent():
    assert round(chance_none_lost(7 * 24, 1), 2) == 0.79


def test_71_days_at_one_join_a_month_lose_2_3_nodes():
    assert round(lost_nodes(71 * 24, 1), 1) == 2.3


def test_a_stricter_promise_is_the_limit():
    assert limit_hours(24, 1) == 24


def test_a_looser_promise_gives_way_to_the_join_rate():
    assert round(limit_hours(24 * 30, 1)) == 77


def test_a_mesh_that_nobody_joins_is_limited_by_the_promise_alone():
    assert limit_hours(168, 0) == 168


def test_an_unknown_join_rate_leaves_the_promise():
    assert limit_hours(168, None) == 168


def test_without_promise_and_join_rate_there_is_no_limit():
    assert limit_hours(None, None) is None


@pytest.mark.parametrize(
    ("promise", "joins", "chance", "named"),
    [
        (0, 1, 0.9, "recovery point is 0 h"),
        (float("nan"), 1, 0.9, "recovery point is nan h"),
        (24, -1, 0.9, "join rate is -1"),
        (24, 1, 0, "losing no node is 0"),
        (24, 1, 1, "losing no node is 1"),
    ],
)
def test_figures_that_cannot_be_right_are_refused_by_name(promise, joins, chance, named):
    with pytest.raises(FreshnessError, match=named):
        limit_hours(promise, joins, chance)


def test_a_young_snapshot_is_fresh():
    assert judged(timedelta(hours=5)).state is FreshnessState.FRESH


def test_a_snapshot_exactly_at_the_limit_is_fresh():
    assert judged(timedelta(hours=24)).state is FreshnessState.FRESH


def test_a_snapshot_past_the_limit_is_stale():
    assert judged(timedelta(hours=24, seconds=1)).state is FreshnessState.STALE


def test_a_stale_snapshot_says_its_age_and_the_limit():
    found = judged(timedelta(days=71), 76.97)
    assert found.because == "The newest sound snapshot is 71 days old; the limit is 3.2 days."


def test_an_age_just_over_the_limit_is_told_apart_from_it():
    found = judged(timedelta(hours=77.5), 76.97)
    assert found.because == "The newest sound snapshot is 3.22 days old; the limit is 3.21 days."


def test_the_figures_come_with_the_judgement():
    found = judged(timedelta(hours=36))
    assert (found.age_hours, found.limit_hours) == (36, 24)


def test_a_capture_time_in_the_future_is_doubtful_and_never_fresh():
    found = judged(timedelta(hours=-3))
    assert found.state is FreshnessState.UNJUDGED
    assert found.because == (
        "The newest sound snapshot says that it was taken 3 hours from now; "
        "the clock of the machine that took it is doubtful."
    )


def test_a_capture_time_one_second_ahead_is_not_fresh():
    assert judged(timedelta(seconds=-1)).state is FreshnessState.UNJUDGED


def test_a_snapshot_without_a_capture_time_is_unjudged():
    assert judge_freshness(None, NOW, 24).state is FreshnessState.UNJUDGED


def test_without_a_limit_an_age_is_unjudged():
    assert judged(timedelta(hours=1), None).state is FreshnessState.UNJUDGED


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        (0, "under a minute"),
        (0.5, "30 minutes"),
        (1 / 60, "1 minute"),
        (1, "1 hour"),
        (1.5, "1.5 hours"),
        (20, "20 hours"),
        (47.4, "47 hours"),
        (48, "2 days"),
        (77, "3.2 days"),
        (71 * 24, "71 days"),
    ],
)
def test_a_span_is_said_as_a_person_says_it(hours, words):
    assert span_in_words(hours) == words


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        (0, "under a minute"),
        (119.9 / 60, "119 minutes"),
        (2, "2 hours"),
        (47.99, "47 hours"),
        (48, "2 days"),
        (70.99 * 24, "70 days"),
        (71 * 24, "71 days"),
    ],
)
def test_an_age_is_said_in_whole_units_completed(hours, words):
    assert age_in_words(hours) == words


def test_a_stale_copy_says_the_same_age_as_every_other_page():
    age = timedelta(days=70, hours=23)
    assert judged(age, 76.97).because == "The newest sound snapshot is 70 days old; the limit is 3.2 days."


@pytest.mark.parametrize("limit", [24, 76.97, 168.0])
@pytest.mark.parametrize("over", [-2.0, -0.01, -0.0004, 0.0004, 0.01, 2.0])
def test_words_never_put_an_age_on_the_wrong_side_of_its_limit(limit, over):
    aged, allowed = spans_told_apart(limit + over, limit)
    hours = [float(words.split()[0]) * {"h": 1, "d": 24}[words.split()[1][0]] for words in (aged, allowed)]
    assert (hours[0] > hours[1]) == (over > 0)
