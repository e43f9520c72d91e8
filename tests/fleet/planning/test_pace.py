from datetime import UTC, datetime, timedelta

from fleet.planning.pace import Pace, pace

BEGAN = datetime(2027, 3, 26, 8, tzinfo=UTC)
NOW = BEGAN + timedelta(seconds=50)


def test_the_rest_goes_as_fast_as_what_is_done():
    # 100 in 50 seconds: 200 more take 100
    assert pace(100, 300, BEGAN, NOW) == Pace(200, 2.0, NOW + timedelta(seconds=100))


def test_before_anything_is_done_no_end_is_foretold():
    assert pace(0, 300, BEGAN, NOW) == Pace(300, None, None)


def test_a_clock_that_went_back_foretells_nothing():
    assert pace(100, 300, NOW, BEGAN) == Pace(200, None, None)


def test_what_was_added_meanwhile_leaves_nothing_below_none():
    assert pace(301, 300, BEGAN, NOW).left == 0
