from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from reports.drawing import words


@pytest.mark.parametrize(
    ("minutes", "said"),
    [(0, "0 min"), (8, "8 min"), (60, "1 h"), (90, "1 h 30 min"), (1560, "1 day 2 h"), (4320, "3 days")],
)
def test_minutes_as_people_say_them(minutes, said):
    assert words.minutes(minutes).replace("\u00a0", " ") == said


@pytest.mark.parametrize(
    ("hours", "said"), [(1, "1 hour"), (24, "24 hours"), (48, "2 days"), (50, "50 hours"), (72, "3 days")]
)
def test_hours_as_people_say_them(hours, said):
    assert words.hours(hours).replace("\u00a0", " ") == said


def test_a_moment_is_told_by_the_clock_of_the_home():
    moment = datetime(2027, 3, 25, 19, 0, tzinfo=UTC)
    assert words.moment(moment, ZoneInfo("Pacific/Chatham")).replace("\u00a0", " ") == "26 March 2027, 08:45"


@pytest.mark.parametrize(
    ("zone", "said"),
    [
        ("Europe/Oslo", "UTC+01:00"),
        ("America/St_Johns", "UTC-02:30"),
        ("Asia/Kathmandu", "UTC+05:45"),
        ("UTC", "UTC+00:00"),
    ],
)
def test_an_offset_with_its_sign(zone, said):
    assert words.offset(datetime(2027, 3, 26, 9, 0, tzinfo=ZoneInfo(zone))) == said


def test_a_weekday_is_named():
    assert words.weekday(date(2027, 3, 26)).replace("\u00a0", " ") == "Friday, 26 March 2027"


def test_an_address_is_grouped_by_four():
    assert words.grouped("02A4C138F00D0011").split("\u00a0") == ["02A4", "C138", "F00D", "0011"]


@pytest.mark.parametrize(
    ("parts", "said"), [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")]
)
def test_a_list_ends_with_and(parts, said):
    assert words.listed(parts) == said
