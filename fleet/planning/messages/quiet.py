"""Quiet hours: no message from 21 to 8 by the clock of the home it is about, but for safety (trade row L2).

A day from 8 to 21 is longer than half of 24 hours, so the days of any two places overlap: whoever is told at
eight in the morning can be told of every home on that same day, some of them later, in one more message. Common
practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

DAY_BEGINS = time(8)
DAY_ENDS = time(21)


@dataclass(frozen=True, slots=True)
class Later:
    """A moment, and the codes of the meshes that are told then."""

    at: datetime
    codes: tuple[str, ...]


def is_quiet(moment: datetime, zone: ZoneInfo) -> bool:
    """True from 21:00 up to 8:00 on the clock of that zone."""
    return not DAY_BEGINS <= moment.astimezone(zone).time() < DAY_ENDS


def day_begins(moment: datetime, zone: ZoneInfo) -> datetime:
    """When the day begins next, or the moment itself where it is day; in UTC."""
    if not is_quiet(moment, zone):
        return moment.astimezone(UTC)
    there = moment.astimezone(zone)
    day = there.date() if there.time() < DAY_BEGINS else there.date() + timedelta(days=1)
    return datetime.combine(day, DAY_BEGINS, zone).astimezone(UTC)


def day_ends(moment: datetime, zone: ZoneInfo) -> datetime:
    """The 21:00 of the day that is or begins next; in UTC."""
    day = day_begins(moment, zone).astimezone(zone).date()
    return datetime.combine(day, DAY_ENDS, zone).astimezone(UTC)


def later_today(homes: Mapping[str, ZoneInfo], reader: ZoneInfo, now: datetime) -> Later | None:
    """When today to tell of homes where it is quiet now, by code; one moment is enough for all of them.

    Each of their days begins after now and is as long as the reader's, so none ends before the reader's does. A
    day that begins only after the reader's has ended is left out; that happens where the list is late.
    """
    ends = day_ends(now, reader)
    begins = {code: day_begins(now, zone) for code, zone in homes.items()}
    today = tuple(sorted(code for code, at in begins.items() if at < ends))
    return Later(max(begins[code] for code in today), today) if today else None
