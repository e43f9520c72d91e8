"""The day, ISO week, month and year of an instant where a home is, fast enough for a million instants.

A bucket of time is known by its label, such as "week 2027-W12": labels of one kind sort as the calendar does.
ISO weeks as in ISO 8601.
"""

from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from sys import intern
from typing import NamedTuple
from zoneinfo import ZoneInfo

_DAY = timedelta(days=1)


class Buckets(NamedTuple):
    """Labels of the day, ISO week, month and year that a local day lies in."""

    day: str
    week: str
    month: str
    year: str


@lru_cache(maxsize=20_000)
def buckets_of(day: int) -> Buckets:
    """The buckets of a local day, given as a proleptic Gregorian ordinal."""
    local = date.fromordinal(day)
    iso_year, iso_week, _ = local.isocalendar()
    text = local.isoformat()
    # One string for each label, so that a comparison of equal ones looks at no letters.
    week, month, year = f"week {iso_year:04}-W{iso_week:02}", f"month {text[:7]}", f"year {text[:4]}"
    return Buckets(intern(f"day {text}"), intern(week), intern(month), intern(year))


class UtcDay(NamedTuple):
    """When the local date turns within one UTC day, and the buckets before and from that instant on.

    turn is None on a day on which the zone's offset changes: then each instant must be asked for by itself.
    """

    turn: datetime | None
    before: Buckets
    after: Buckets


class UtcDays(dict[int, UtcDay]):
    """The UTC days of a zone, by ordinal, worked out when first asked for.

    Asking the zone for every instant costs more than all the rest. Since 1970 no zone has changed twice in six
    days, so equal offsets at both ends of a UTC day mean one offset all through it.
    """

    def __init__(self, zone: ZoneInfo) -> None:
        super().__init__()
        self._zone = zone

    def __missing__(self, day: int) -> UtcDay:
        start = datetime.combine(date.fromordinal(day), time(), UTC)
        offset = start.astimezone(self._zone).utcoffset()
        if offset is None or offset != (start + _DAY).astimezone(self._zone).utcoffset():
            found = UtcDay(None, buckets_of(day), buckets_of(day))
        else:
            turn = start + (-offset) % _DAY
            local = (turn + offset).toordinal()
            found = UtcDay(turn, buckets_of(local - 1), buckets_of(local))
        self[day] = found
        return found


@lru_cache(maxsize=64)
def utc_days(zone: ZoneInfo) -> UtcDays:
    """The one calendar of a zone, kept for the next mesh there."""
    return UtcDays(zone)
