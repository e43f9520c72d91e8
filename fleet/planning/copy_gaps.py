"""The days of a period on which no sound copy of a mesh was taken."""

from collections.abc import Iterable
from datetime import date, timedelta
from itertools import pairwise

from fleet.planning.copy_calendar import LEAST_GAP_DAYS, Gap

_DAY = timedelta(days=1)


def gaps_in(sound_days: Iterable[date], first: date, last: date) -> tuple[Gap, ...]:
    """Runs of two days and more without a sound copy, earliest first, both ends of the period included.

    is_open marks the one that lasts to the end of the period. Without any sound copy the whole period is one gap.
    """
    inside = sorted({day for day in sound_days if first <= day <= last})
    edges = [first - _DAY, *inside, last + _DAY]
    found = (
        Gap(earlier + _DAY, later - _DAY, is_open=later > last)
        for earlier, later in pairwise(edges)
        if (later - earlier).days > LEAST_GAP_DAYS
    )
    return tuple(found)


def days_without(sound_days: Iterable[date], first: date, last: date) -> int:
    """How many days of the period have no sound copy."""
    inside = {day for day in sound_days if first <= day <= last}
    return (last - first).days + 1 - len(inside)
