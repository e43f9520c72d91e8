"""A technician's day as a strip: ways, waits, work and pauses one after the other, over the hours of one clock.

Units are those of the picture's own grid, x to the right. Nothing here draws.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from fleet.planning.visits.plan import Day

LEFT, RIGHT = 12.0, 408.0
MOST_TICKS = 7
AN_HOUR = timedelta(hours=1)


class Part(StrEnum):
    """What somebody does for a while."""

    WAY = "way"
    WAIT = "wait"
    WORK = "work"
    PAUSE = "pause"


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the strip; number is that of the stop, for work alone."""

    part: Part
    x: float
    width: float
    number: int | None = None

    @property
    def middle(self) -> float:
        """Where its number stands."""
        return round(self.x + self.width / 2, 1)


@dataclass(frozen=True, slots=True)
class Tick:
    """A full hour of the clock."""

    x: float
    at: datetime

    @property
    def hour(self) -> int:
        """As the clock of the strip shows it, whatever clock a page goes by."""
        return self.at.hour


@dataclass(frozen=True, slots=True)
class Strip:
    """One day to draw, and where overtime begins (None: there is none)."""

    pieces: tuple[Piece, ...]
    ticks: tuple[Tick, ...]
    over: float | None = None


def strip_of(day: Day, zone: ZoneInfo, begin: datetime, end: datetime) -> Strip:
    """The day between two instants, which must hold all of it; hours are those of the zone's clock.

    Days that are given the same hours can be read one below the other.
    """
    first, last = _hour_before(begin, zone), _hour_after(end, zone)
    scale = (RIGHT - LEFT) / ((last - first) / AN_HOUR)

    def x(moment: datetime) -> float:
        return round(LEFT + (moment - first) / AN_HOUR * scale, 1)

    pieces = tuple(
        Piece(part, x(since), round(x(until) - x(since), 1), number)
        for part, since, until, number in _stretches(day)
        if until > since
    )
    over = x(day.back - day.overtime) if day.overtime else None
    return Strip(pieces, tuple(Tick(x(at), at.astimezone(zone)) for at in _hours(first, last)), over)


def _stretches(day: Day) -> Iterator[tuple[Part, datetime, datetime, int | None]]:
    free = day.leave
    for number, stop in enumerate(day.stops, 1):
        # A stop's pause lies before leaving; whatever else goes before is a wait.
        yield Part.WAIT, free, stop.leave - stop.pause, None
        yield Part.PAUSE, max(free, stop.leave - stop.pause), stop.leave, None
        yield Part.WAY, stop.leave, stop.arrive, None
        yield Part.WAIT, stop.arrive, stop.begin, None
        yield Part.WORK, stop.begin, stop.end, number
        free = stop.end
    yield Part.PAUSE, free, free + day.last_pause, None
    yield Part.WAY, free + day.last_pause, day.back, None


def _hour_before(moment: datetime, zone: ZoneInfo) -> datetime:
    """In UTC, as sums within a zone forget clock changes; the full hour is the zone's, which may lie at a quarter."""
    local = moment.astimezone(zone)
    past = timedelta(minutes=local.minute, seconds=local.second, microseconds=local.microsecond)
    return moment.astimezone(UTC) - past


def _hour_after(moment: datetime, zone: ZoneInfo) -> datetime:
    whole = _hour_before(moment, zone)
    return whole if whole == moment else whole + AN_HOUR


def _hours(first: datetime, last: datetime) -> Iterator[datetime]:
    count = round((last - first) / AN_HOUR)
    every = -(-count // MOST_TICKS)
    for ahead in range(0, count + 1, every):
        yield first + ahead * AN_HOUR
