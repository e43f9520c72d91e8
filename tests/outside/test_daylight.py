"""Sunrise and sunset against astral 3.2 (NOAA's solar calculator formulae; an independent library, run once)."""

from datetime import date, datetime, timedelta

import pytest

from fleet.planning.reach import Position
from fleet.planning.visits.daylight import daylight

SOURCE = "astral-3.2"
# Place, day, rise and set in UTC.
TABLE = [
    ("Oslo", 59.91, 10.75, "2027-03-21", "05:16:59", "17:32:50"),
    ("Oslo", 59.91, 10.75, "2027-06-21", "01:54:20", "20:43:11"),
    ("Oslo", 59.91, 10.75, "2027-12-21", "08:18:28", "14:11:23"),
    ("Oslo", 59.91, 10.75, "2027-10-05", "05:31:29", "16:38:15"),
    ("Naxos", 37.1, 25.38, "2027-03-21", "04:21:25", "16:30:35"),
    ("Naxos", 37.1, 25.38, "2027-06-21", "02:59:02", "17:41:26"),
    ("Naxos", 37.1, 25.38, "2027-12-21", "05:28:17", "15:04:29"),
    ("St-Johns", 47.56, -52.71, "2027-03-21", "09:32:27", "21:44:25"),
    ("St-Johns", 47.56, -52.71, "2027-06-21", "07:33:32", "23:31:44"),
    ("St-Johns", 47.56, -52.71, "2027-12-21", "11:16:13", "19:41:30"),
    ("Terceira", 38.7, -27.2, "2027-03-21", "07:51:24", "20:01:11"),
    ("Terceira", 38.7, -27.2, "2027-10-05", "07:48:20", "19:25:35"),
    ("Quito", -0.2, -78.5, "2027-06-21", "11:12:40", "23:18:58"),
    ("Quito", -0.2, -78.5, "2027-12-21", "11:08:08", "23:15:58"),
]
ROWS = [pytest.param(*row[1:], id=f"{SOURCE}-{row[0]}-{row[3]}") for row in TABLE]


@pytest.mark.parametrize(("latitude", "longitude", "day", "rise", "down"), ROWS)
def test_sunrise_and_sunset_agree_within_a_minute(latitude, longitude, day, rise, down):
    light = daylight(Position(latitude, longitude), date.fromisoformat(day))
    off = [
        abs(found - datetime.fromisoformat(f"{day}T{clock}+00:00"))
        for found, clock in ((light.begin, rise), (light.end, down))
    ]
    assert max(off) <= timedelta(minutes=1)


def test_a_day_is_that_of_the_longitude_and_not_of_the_clock():
    # Chatham lies west of the line of 180 degrees and keeps the date of the east; astral-3.2 gives 16:00:08 UTC.
    light = daylight(Position(-43.95, -176.55), date(2027, 12, 21))
    assert abs(light.begin - datetime.fromisoformat("2027-12-21T16:00:08+00:00")) <= timedelta(minutes=1)


def test_the_polar_night_has_no_daylight():
    assert daylight(Position(69.65, 18.96), date(2027, 12, 21)) is None


def test_the_midnight_sun_lasts_all_day():
    light = daylight(Position(69.65, 18.96), date(2027, 6, 21))
    assert light.end - light.begin == timedelta(days=1)
