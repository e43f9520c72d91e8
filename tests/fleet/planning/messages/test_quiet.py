"""Quiet hours by the clock of the home, and when the rest is told."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.messages.quiet import Later, day_begins, day_ends, is_quiet, later_today
from tests.fleet.planning.messages.standings import OSLO, UTC_ZONE

ZONES = [
    "Europe/Oslo",
    "Atlantic/Azores",
    "Pacific/Chatham",
    "Asia/Kathmandu",
    "America/St_Johns",
    "Asia/Tokyo",
    "Pacific/Kiritimati",
    "America/Los_Angeles",
    "Australia/Lord_Howe",
    "Africa/Casablanca",
]


def utc(month: int, day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2027, month, day, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize(
    ("moment", "quiet"),
    [
        pytest.param(utc(3, 27, 6, 59), True, id="7:59, the day before summer time"),
        pytest.param(utc(3, 27, 7, 0), False, id="8:00, the day before summer time"),
        pytest.param(utc(3, 28, 5, 59), True, id="7:59 on the day that has 23 hours"),
        pytest.param(utc(3, 28, 6, 0), False, id="8:00 on the day that has 23 hours"),
        pytest.param(utc(3, 28, 18, 59), False, id="20:59"),
        pytest.param(utc(3, 28, 19, 0), True, id="21:00"),
        pytest.param(utc(10, 31, 6, 59), True, id="7:59 on the day that has 25 hours"),
        pytest.param(utc(10, 31, 7, 0), False, id="8:00 on the day that has 25 hours"),
    ],
)
def test_it_is_quiet_from_nine_in_the_evening_to_eight_by_the_clock_on_the_wall(moment, quiet):
    assert is_quiet(moment, OSLO) is quiet


@pytest.mark.parametrize(
    ("zone", "begins"),
    [
        pytest.param("Pacific/Chatham", utc(3, 26, 18, 15), id="+13:45"),
        pytest.param("America/St_Johns", utc(3, 26, 10, 30), id="-02:30"),
        pytest.param("Asia/Kathmandu", utc(3, 26, 8, 0), id="+05:45, already day"),
    ],
)
def test_the_day_begins_at_eight_there(zone, begins):
    assert day_begins(utc(3, 26, 8), ZoneInfo(zone)) == begins


def test_what_sleeps_is_told_later_the_same_day_in_one_message():
    homes = {"GULL-5-A": ZoneInfo("Pacific/Chatham"), "BIGHT-1-A": ZoneInfo("America/St_Johns")}

    assert later_today(homes, UTC_ZONE, utc(3, 26, 8)) == Later(utc(3, 26, 18, 15), ("BIGHT-1-A", "GULL-5-A"))


def test_a_day_that_begins_after_the_readers_ended_waits_for_tomorrow():
    late = utc(3, 26, 20, 30)

    assert later_today({"WEST-1-A": ZoneInfo("Asia/Tokyo")}, UTC_ZONE, late) is None


MOMENTS = st.integers(0, 3 * 365 * 24 * 60).map(lambda minutes: utc(1, 1, 0) + timedelta(minutes=minutes))


@given(st.sampled_from(ZONES), st.lists(st.sampled_from(ZONES), min_size=1, max_size=6), MOMENTS)
def test_whoever_reads_at_eight_is_told_of_every_home_that_day_and_of_none_at_night(reader, zones, moment):
    reader_zone = ZoneInfo(reader)
    eight = datetime.combine(moment.date(), time(8), reader_zone).astimezone(UTC)
    homes = {f"HOME-{n}": ZoneInfo(zone) for n, zone in enumerate(zones) if is_quiet(eight, ZoneInfo(zone))}

    found = later_today(homes, reader_zone, eight)

    assert (found.codes if found else ()) == tuple(sorted(homes))
    if found:
        assert not is_quiet(found.at, reader_zone)
        assert found.at.astimezone(reader_zone).date() == eight.astimezone(reader_zone).date()
        assert not any(is_quiet(found.at, zone) for zone in homes.values())


@given(st.sampled_from(ZONES), MOMENTS)
def test_a_day_is_thirteen_hours_long_and_begins_within_eleven(zone, moment):
    begins, ends = day_begins(moment, ZoneInfo(zone)), day_ends(moment, ZoneInfo(zone))

    assert moment <= begins <= moment + timedelta(hours=12)
    assert begins < ends <= begins + timedelta(hours=13)
