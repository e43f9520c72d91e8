from datetime import time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.reach import Position
from fleet.planning.visits.span import Minutes, VisitError
from fleet.planning.visits.travel import ByRoad, Hours, in_minutes
from tests.fleet.planning.visits.worlds import OSLO, RUSH, STEADY, at

HALF_AT_NINE = Hours(OSLO, ((time(0), 1.0), (time(9), 0.5), (time(10), 1.0)))


def test_at_a_steady_pace_a_way_takes_its_minutes():
    assert STEADY.arrival(at("2027-03-22 09:00"), 25) == at("2027-03-22 09:25")


def test_a_slow_hour_is_driven_through_as_the_clock_goes():
    # 30 of 60 minutes before nine, then an hour at half pace: all 30 that were left.
    assert HALF_AT_NINE.arrival(at("2027-03-22 08:30"), 60) == at("2027-03-22 10:00")


def test_the_pace_is_that_of_the_zones_clock():
    # On 28 March 2027 Oslo's clock goes from 02:00 to 03:00: nine o'clock is 07:00 UTC.
    before, after = at("2027-03-27 08:59"), at("2027-03-28 08:59")
    took = [HALF_AT_NINE.arrival(leaving, 11) - leaving for leaving in (before, after)]
    assert took == [timedelta(minutes=21), timedelta(minutes=21)]


def test_a_day_of_25_hours_is_driven_through():
    # On 31 October 2027 the hour from two to three comes twice.
    assert HALF_AT_NINE.arrival(at("2027-10-31 00:00"), 9 * 60) == at("2027-10-31 08:00")


def test_the_quickest_minute_of_a_day_is_known():
    assert RUSH.fastest(at("2027-03-22 08:00"), at("2027-03-22 16:00")) == 0.9
    assert RUSH.fastest(at("2027-03-22 08:00"), at("2027-03-22 18:00")) == 1.0


@given(leaving=st.integers(0, 3000), later=st.integers(0, 300), minutes=st.integers(0, 400))
def test_who_leaves_later_never_arrives_sooner(leaving, later, minutes):
    arrive = in_minutes(RUSH, Minutes.before(at("2027-03-27 12:00")).epoch)
    assert arrive(leaving, minutes) <= arrive(leaving + later, minutes)


@given(leaving=st.integers(0, 3000), minutes=st.integers(0, 400))
def test_whole_minutes_are_never_less_than_the_way_takes(leaving, minutes):
    clock = Minutes.before(at("2027-03-27 12:00"))
    there = RUSH.arrival(clock.moment(leaving), minutes)
    late = clock.moment(in_minutes(RUSH, clock.epoch)(leaving, minutes)) - there
    assert timedelta(milliseconds=-1) <= late < timedelta(minutes=1)


def test_no_way_leads_from_a_home_to_itself():
    here = Position(60, 10)
    assert ByRoad(STEADY).minutes("KELP-7", here, "KELP-7", here) == 0


def test_neighbours_with_two_codes_still_take_setting_off():
    here = Position(60, 10)
    assert ByRoad(STEADY).minutes("KELP-7", Position(60, 10.001), "KELP-8", here) > 10


@pytest.mark.parametrize(
    ("paces", "word"),
    [
        ((), "begin at 00:00"),
        (((time(1), 1.0),), "begin at 00:00"),
        (((time(0), 1.0), (time(0), 0.5)), "each time once"),
        (((time(0), 0.0),), r"from 00:00 on is 0\.0"),
        (((time(0), 1.5),), r"from 00:00 on is 1\.5"),
    ],
)
def test_paces_that_cannot_be_are_refused(paces, word):
    with pytest.raises(VisitError, match=word):
        Hours(OSLO, paces)
