"""On which days copies of a mesh were taken, as months of days, and where the gaps are.

Days are those of the home's own clock, of 23 and 25 hours too; a copy counts on the day of its capture, never
of its arrival (C6). A gap is a run of days without a sound copy: a copy that is held closes none, one that
was sound and has been erased since does.
"""

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from itertools import pairwise
from typing import Generic, NamedTuple, TypeVar
from zoneinfo import ZoneInfo

K = TypeVar("K", bound=Hashable)

MONTHS = 13
LEAST_GAP_DAYS = 2
"""Shorter gaps are not named: a copy a day may fall on either side of midnight."""

_DAY = timedelta(days=1)


class DayMark(StrEnum):
    """How the best copy of a day stands now, best first; last the day that has none."""

    SOUND = "sound"
    STALE = "stale"
    LOCKED_OUT = "locked_out"
    HELD = "held"
    GONE = "gone"
    NONE = "none"


_BEST_FIRST = list(DayMark)


class DatedCopy(NamedTuple, Generic[K]):
    """One copy: its key, its capture time, how it stands now, and whether it was ever judged sound."""

    key: K
    taken_at: datetime
    mark: DayMark
    sound: bool


@dataclass(frozen=True, slots=True)
class Day(Generic[K]):
    """One day: the best mark of its copies, how many there are, and the key of the newest."""

    day: date
    mark: DayMark
    copies: int = 0
    newest: K | None = None


@dataclass(frozen=True, slots=True)
class Month(Generic[K]):
    """A month as ISO weeks, Monday first. None: a day of another month, to come, or before the calendar begins."""

    first: date
    weeks: tuple[tuple[Day[K] | None, ...], ...]


@dataclass(frozen=True, slots=True)
class Gap:
    """Days without a sound copy, both ends included. is_open: it lasts until today."""

    first: date
    last: date
    is_open: bool = False

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1


@dataclass(frozen=True, slots=True)
class CopyCalendar(Generic[K]):
    """Months newest first, gaps longest first, days by mark. last_sound is None where there never was one.

    ahead counts copies dated after today: the clock of whoever took them runs wrong.
    """

    months: tuple[Month[K], ...]
    gaps: tuple[Gap, ...]
    tally: Mapping[DayMark, int]
    last_sound: date | None
    first_sound: date | None
    days_since: int | None
    ahead: int

    @property
    def open_gap(self) -> Gap | None:
        """The gap that lasts until today."""
        return next((gap for gap in self.gaps if gap.is_open), None)


def first_shown(today: date) -> date:
    """The first day of the calendar: that of the month twelve months before."""
    return date(today.year - 1, today.month, 1)


def calendar_of(
    copies: Iterable[DatedCopy[K]], zone: ZoneInfo, today: date, sound_before: date | None = None
) -> CopyCalendar[K]:
    """The copies, in any order, by days of this zone; today is the day there.

    sound_before: the day of the last sound copy before the calendar begins, None where there is none. The
    calendar begins with the month of the first copy where the mesh has not been in the book for longer.
    """
    by_day: dict[date, list[DatedCopy[K]]] = defaultdict(list)
    for copy in copies:
        by_day[copy.taken_at.astimezone(zone).date()].append(copy)
    known = {day: found for day, found in by_day.items() if first_shown(today) <= day <= today}
    sound_days = sorted(day for day, found in known.items() if any(copy.sound for copy in found))
    course = [sound_before, *sound_days] if sound_before else sound_days
    begins = first_shown(today) if sound_before else min(known, default=today)
    days = (
        {day: _day(day, known.get(day, ())) for day in _days(begins, today)} if known or sound_before else {}
    )
    return CopyCalendar(
        months=tuple(_months(days)),
        gaps=tuple(sorted(_gaps(course, today), key=lambda gap: (-gap.days, -gap.last.toordinal()))),
        tally=Counter(day.mark for day in days.values()),
        last_sound=course[-1] if course else None,
        first_sound=course[0] if course else None,
        days_since=(today - course[-1]).days if course else None,
        ahead=sum(len(found) for day, found in by_day.items() if day > today),
    )


def _day(day: date, copies: Sequence[DatedCopy[K]]) -> Day[K]:
    if not copies:
        return Day(day, DayMark.NONE)
    best = min((copy.mark for copy in copies), key=_BEST_FIRST.index)
    newest = max(copies, key=lambda copy: copy.taken_at)
    return Day(day, best, len(copies), newest.key)


def _gaps(sound_days: Sequence[date], today: date) -> Iterable[Gap]:
    for earlier, later in pairwise(sound_days):
        gap = Gap(earlier + _DAY, later - _DAY)
        if gap.days >= LEAST_GAP_DAYS:
            yield gap
    if sound_days and (today - sound_days[-1]).days >= LEAST_GAP_DAYS:
        yield Gap(sound_days[-1] + _DAY, today, is_open=True)


def _days(first: date, last: date) -> Iterable[date]:
    return (first + timedelta(days=count) for count in range((last - first).days + 1))


def _months(days: Mapping[date, Day[K]]) -> Iterable[Month[K]]:
    for first in sorted({day.replace(day=1) for day in days}, reverse=True):
        cells = [*[None] * first.weekday(), *(days.get(day) for day in _days(first, _last_of(first)))]
        cells += [None] * (-len(cells) % 7)
        weeks = (tuple(cells[at : at + 7]) for at in range(0, len(cells), 7))
        yield Month(first, tuple(week for week in weeks if any(week)))


def _last_of(first: date) -> date:
    return (first + timedelta(days=31)).replace(day=1) - _DAY
