from datetime import UTC, date, datetime, timedelta

import pytest

from fleet.mesh.counters import (
    Evidence,
    EvidenceKind,
    days_spent,
    exhaustion,
    exhaustion_range,
    rate_lower,
    rate_upper,
)

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)
DAY = timedelta(days=1)
HOUR = timedelta(hours=1)


def seen(*steps: tuple[float, int]) -> list[Evidence]:
    """Snapshots so many days before NOW."""
    return [Evidence(value, NOW - days_ago * DAY) for days_ago, value in steps]


def test_the_upper_rate_is_the_95th_percentile_and_not_the_mean() -> None:
    # 19 days at 1/s and one at 9/s: place ceil(0.95 * 20) = 19 of 20 is still 1/s; the mean is 1.4
    values = [86_400 * day for day in range(20)] + [86_400 * (19 + 9)]

    assert rate_upper(seen(*((20 - day, value) for day, value in enumerate(values)))) == 1.0


def test_with_few_slopes_the_upper_rate_is_the_steepest() -> None:
    # 1/s, 2/s and 6/s
    assert rate_upper(seen((3, 0), (2, 86_400), (1, 259_200), (0, 777_600))) == 6.0


def test_the_lower_rate_is_the_5th_percentile() -> None:
    # place ceil(0.05 * 3) = 1 of 3
    assert rate_lower(seen((3, 0), (2, 86_400), (1, 259_200), (0, 777_600))) == 1.0


def test_a_fallen_counter_gives_no_slope() -> None:
    # the fall from 777,600 to 0 stands between two days of 1/s and two of 2/s
    fallen = seen((5, 604_800), (4, 691_200), (3, 777_600), (2, 0), (1, 172_800), (0, 345_600))

    assert (rate_lower(fallen), rate_upper(fallen)) == (1.0, 2.0)


def test_two_values_at_one_moment_give_no_slope() -> None:
    assert rate_upper(seen((3, 0), (2, 86_400), (2, 86_500), (1, 172_900), (0, 259_300))) == 1.0


def test_a_number_that_was_given_out_is_no_sighting() -> None:
    # 1/s before and after; the jump is no slope, nor are the 44 frames half a day after the restore
    before = seen((5, 0), (4, 86_400), (3, 172_800))
    jump = Evidence(17_080_656, NOW - 2.5 * DAY, EvidenceKind.RESTORE)
    after = seen((2, 17_080_700), (1, 17_167_100), (0, 17_253_500))

    assert (rate_lower([*before, jump, *after]), rate_upper([*before, jump, *after])) == (1.0, 1.0)


def test_a_sighting_with_a_doubtful_clock_gives_no_slope() -> None:
    steady = seen((3, 0), (2, 86_400), (1, 172_800), (0, 259_200))
    ahead = Evidence(9_000_000, NOW + HOUR, EvidenceKind.SNAPSHOT, landed_at=NOW - HOUR)

    assert rate_upper([*steady, ahead]) == 1.0


def test_the_order_of_sightings_does_not_matter() -> None:
    steady = seen((3, 0), (2, 86_400), (1, 259_200), (0, 777_600))

    assert rate_upper(reversed(steady)) == 6.0


@pytest.mark.parametrize(
    "sightings",
    [
        [],
        seen((1, 0)),
        seen((2, 0), (1, 86_400), (0, 172_800)),
        seen((0.9, 0), (0.6, 86_400), (0.3, 172_800), (0, 259_200)),
    ],
    ids=["none", "one", "two slopes", "less than a day"],
)
def test_a_rate_is_unknown_from_too_little(sightings: list[Evidence]) -> None:
    assert (rate_upper(sightings), rate_lower(sightings)) == (None, None)


def test_a_counter_that_seems_to_stand_still_rises_by_link_status_at_least() -> None:
    # stored in steps, it shows the same value for days; one frame in 15 s it sends all the same
    assert rate_upper(seen((3, 4096), (2, 4096), (1, 4096), (0, 4096))) == pytest.approx(0.0667, abs=0.0001)


# The end of the space


@pytest.mark.parametrize(
    ("rate", "years_to_end", "years_to_half"), [(5.0, 27.2, 13.6), (50.0, 2.7, 1.36), (0.5, 272.0, 136.0)]
)
def test_the_space_lasts_as_long_as_a_hand_calculation_says(
    rate: float, years_to_end: float, years_to_half: float
) -> None:
    left = exhaustion(0, rate)

    assert left.years_to_end == pytest.approx(years_to_end, rel=0.01)
    assert left.years_to_half == pytest.approx(years_to_half, rel=0.01)


def test_a_start_past_half_way_has_no_time_left_to_it() -> None:
    assert exhaustion(2_147_483_648, 5.0).years_to_half == 0.0


def test_a_silent_radio_never_reaches_the_end() -> None:
    assert exhaustion(0, 0.0).years_to_end is None


def test_the_end_has_a_range_from_the_upper_to_the_lower_rate() -> None:
    # one day at 10/s is 864,000 frames; at 5/s they last two days
    found = exhaustion_range(4_294_967_295 - 864_000, NOW, rate_lower=5.0, rate_upper=10.0)

    assert (found.end_earliest, found.end_latest) == (date(2027, 3, 27), date(2027, 3, 28))


def test_half_way_has_a_range_too() -> None:
    found = exhaustion_range(2_147_483_648 - 864_000, NOW, rate_lower=5.0, rate_upper=10.0)

    assert (found.half_earliest, found.half_latest) == (date(2027, 3, 27), date(2027, 3, 28))


@pytest.mark.parametrize("slow", [0.0, 1e-9, 1e-300])
def test_a_date_beyond_the_calendar_is_no_date(slow: float) -> None:
    assert exhaustion_range(0, NOW, rate_lower=slow, rate_upper=5.0).end_latest is None


def test_the_cost_of_a_restore_is_shown_in_days() -> None:
    # 17,080,656 written where the counter stands at 9,239,120: 7,841,536 frames skipped, at 3/s 30.25 days
    assert days_spent(17_080_656, 9_239_120, 3.0) == pytest.approx(30.25, abs=0.01)
