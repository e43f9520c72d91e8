from datetime import UTC, datetime, timedelta

from fleet.planning.clusters import Cluster, Failure, largest_cluster
from fleet.planning.reach import Position

STORM = datetime(2026, 11, 2, 18, tzinfo=UTC)
HARBOUR = Position(68.15, 14.2)
NEAR = Position(68.25, 14.3)  # about 12 km away
FAR = Position(60.0, 11.0)
DAY = timedelta(days=1)


def test_failures_of_one_storm_lie_together():
    """Trade row F8: 6 failures within 3 days and 25 km stand out among others."""
    storm = [Failure(STORM + timedelta(hours=12 * at), HARBOUR if at % 2 else NEAR) for at in range(6)]
    others = [Failure(STORM - DAY * 40 * at, FAR) for at in range(1, 4)]
    assert largest_cluster([*others, *storm]) == Cluster(6, STORM, STORM + timedelta(hours=60))


def test_failures_spread_over_a_year_do_not():
    assert largest_cluster([Failure(STORM + DAY * 60 * at, HARBOUR) for at in range(6)]) is None


def test_failures_far_apart_do_not():
    assert largest_cluster([Failure(STORM, HARBOUR), Failure(STORM, FAR)]) is None


def test_seven_days_are_still_together_and_a_minute_more_is_not():
    week = [Failure(STORM, HARBOUR), Failure(STORM + DAY * 7, HARBOUR)]
    longer = [Failure(STORM, HARBOUR), Failure(STORM + DAY * 7 + timedelta(minutes=1), HARBOUR)]
    assert largest_cluster(week) == Cluster(2, STORM, STORM + DAY * 7)
    assert largest_cluster(longer) is None


def test_a_failure_at_an_unknown_place_lies_beside_none():
    assert largest_cluster([Failure(STORM, None), Failure(STORM, None), Failure(STORM, HARBOUR)]) is None


def test_nothing_failed():
    assert largest_cluster([]) is None


def test_two_of_a_week_are_told_and_do_not_stand_out():
    """Trade row F8: of 6 spread over a year, two often fall into one week; that is no event."""
    spread = [Failure(STORM + DAY * at, HARBOUR) for at in (0, 70, 140, 145, 210, 300)]
    two = largest_cluster(spread)
    three = largest_cluster([*spread, Failure(STORM + DAY * 146, NEAR)])
    assert (two.size, two.stands_out) == (2, False)
    assert (three.size, three.stands_out) == (3, True)
