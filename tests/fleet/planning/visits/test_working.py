from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from fleet.planning.visits.span import Span, VisitError
from fleet.planning.visits.working import Weekly, longest_of_each_day, overlapping, read_day, stretches

SUNDAY = 6
# Sunday 2027-03-28 (Oslo) and 2027-11-07 (St. John's) change the clock at night; by tzdata, checked in UTC below.
CASES = [
    # zone, day, local hours, UTC begin, UTC end
    ("Europe/Oslo", "2027-03-28", "08:00-16:00", "2027-03-28 06:00", "2027-03-28 14:00"),
    ("Europe/Oslo", "2027-03-21", "08:00-16:00", "2027-03-21 07:00", "2027-03-21 15:00"),
    ("Europe/Oslo", "2027-03-28", "01:00-04:00", "2027-03-28 00:00", "2027-03-28 02:00"),
    ("America/St_Johns", "2027-11-07", "01:00-04:00", "2027-11-07 03:30", "2027-11-07 07:30"),
    ("Pacific/Chatham", "2027-04-04", "00:00-08:00", "2027-04-03 10:15", "2027-04-03 19:15"),
    ("Asia/Kathmandu", "2027-03-28", "09:00-17:00", "2027-03-28 03:15", "2027-03-28 11:15"),
]


def utc(text):
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.mark.parametrize(
    ("zone", "day", "hours", "begin", "end"),
    CASES,
    ids=[f"{case[0]}-{case[1]}-{case[2][:2]}" for case in CASES],
)
def test_a_stretch_is_by_the_clock_of_the_zone(zone, day, hours, begin, end):
    day = date.fromisoformat(day)

    found = stretches(read_day(SUNDAY, hours), [], day, day, ZoneInfo(zone))

    assert found == (Span(utc(begin), utc(end)),)


def test_a_stretch_within_the_hour_that_no_clock_shows_keeps_its_length():
    day = date(2027, 3, 28)
    (found,) = stretches(read_day(SUNDAY, "02:15-02:45"), [], day, day, ZoneInfo("Europe/Oslo"))
    assert found.end - found.begin == timedelta(minutes=30)


def test_a_stretch_that_vanishes_with_that_hour_is_left_out():
    day = date(2027, 3, 28)
    assert stretches(read_day(SUNDAY, "02:30-03:15"), [], day, day, ZoneInfo("Europe/Oslo")) == ()


def test_days_off_are_left_out_with_their_first_and_last_day():
    week = [Weekly(day, time(8), time(16)) for day in range(5)]
    monday = date(2027, 3, 22)
    off = [(date(2027, 3, 23), date(2027, 3, 24))]
    found = stretches(week, off, monday, monday + timedelta(days=6), ZoneInfo("Europe/Oslo"))
    assert [span.begin.day for span in found] == [22, 25, 26]


def test_a_plan_gets_the_longer_part_of_a_day_and_of_two_equal_ones_the_first():
    zone = ZoneInfo("Europe/Oslo")
    week = read_day(0, "08:00-12:00, 14:00-19:00") + read_day(1, "08:00-12:00, 14:00-18:00")
    days = longest_of_each_day(stretches(week, [], date(2027, 3, 22), date(2027, 3, 23), zone), zone)
    assert [(span.begin.astimezone(zone).hour, span.end.astimezone(zone).hour) for span in days] == [
        (14, 19),
        (8, 12),
    ]


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("", []),
        ("8:00-16.30", ["08:00-16:30"]),
        (" 14:00 – 18:00 ; 08:00-12:00,", ["14:00-18:00", "08:00-12:00"]),
        ("08:00-12:00,12:00-16:00", ["08:00-12:00", "12:00-16:00"]),
    ],
)
def test_hours_are_read_as_people_type_them(text, hours):
    assert [each.hours for each in read_day(0, text)] == hours


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("mornings", "Monday: 'mornings'; right is"),
        ("08:00-24:00", "Monday: '08:00-24:00'; right is"),
        ("08:00-08:00", "Monday: work ends at 08:00; it must end after"),
        ("22:00-06:00", "Monday: work ends at 06:00"),
        ("08:00-12:00, 11:59-13:00", "Monday: 08:00-12:00 and 11:59-13:00 overlap"),
    ],
)
def test_hours_that_cannot_be_name_the_day_and_the_part(text, told):
    with pytest.raises(VisitError, match=told):
        read_day(0, text)


def test_equal_stretches_of_two_days_do_not_overlap():
    assert overlapping([Weekly(0, time(8), time(9)), Weekly(1, time(8), time(9))]) is None
