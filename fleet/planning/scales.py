"""Scales that people can read: round numbers along a value axis, whole days, months or years along a time axis."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from itertools import islice
from math import floor, log10
from zoneinfo import ZoneInfo

MOST_TICKS = 5
SQUASHED = 1 / 50
"""Below this share of a linear scale nothing can be told apart."""
MOST_SQUASHED = 0.25

_ROUND = (1, 2, 5, 10)
_DAYS = (1, 2, 7, 14)
_MONTHS = (1, 2, 3, 6)


@dataclass(frozen=True, slots=True)
class Scale:
    """From low at share 0 to high at share 1, with round values between; logarithmic: each tick ten times the last."""

    low: int
    high: int
    ticks: tuple[int, ...]
    logarithmic: bool = False

    def share(self, value: int) -> float:
        """Where a value stands, 0.0 to 1.0; what lies outside stands at the edge."""
        within = min(max(value, self.low), self.high)
        if self.logarithmic:
            return log10(within / self.low) / log10(self.high / self.low)
        return (within - self.low) / (self.high - self.low)


def scale_for(values: Sequence[int]) -> Scale:
    """A scale from a round value below the least to one above the greatest; values from 0, at least one.

    Linear, unless more than a quarter of the values would lie flat at its foot. On a logarithmic scale 0 stands
    where 1 does.
    """
    low, high = min(values), max(values)
    flat = sum(value < high * SQUASHED for value in values)
    if flat > MOST_SQUASHED * len(values):
        return _logarithmic(max(low, 1), high)
    return _linear(0 if low < high / 2 else low, high)


def _linear(low: int, high: int) -> Scale:
    step = _step((high - low) or 1)
    first, last = low // step * step, -(-high // step) * step
    last += step if last in (first, high) else 0
    return Scale(first, last, tuple(range(first, last + 1, step)))


def _step(span: int) -> int:
    """The least of 1, 2 and 5 times a power of ten that goes into the span at most so often."""
    power: int = 10 ** floor(log10(span))
    steps = (factor * power // divisor for divisor in (10, 1) for factor in _ROUND)
    return next(step for step in steps if step and span / step <= MOST_TICKS)


def _logarithmic(low: int, high: int) -> Scale:
    first, last = floor(log10(low)), floor(log10(high)) + 1
    powers = [10**power for power in range(first, last + 1)]
    every = -(-len(powers) // (MOST_TICKS + 1))
    return Scale(powers[0], powers[-1], tuple(powers[::every]), logarithmic=True)


class Unit(StrEnum):
    """What a step along a time axis is."""

    DAY = "day"
    MONTH = "month"
    YEAR = "year"


@dataclass(frozen=True, slots=True)
class TimeTick:
    """The midnight that a day, month or year begins with on the home's clock."""

    at: datetime
    unit: Unit


def time_ticks(first: datetime, last: datetime, zone: ZoneInfo) -> tuple[TimeTick, ...]:
    """Up to five midnights of this zone between two moments: of days, of Mondays, or of first days of a month."""
    begin, end = first.astimezone(zone).date(), last.astimezone(zone).date()
    for unit, days in _choices(begin, end):
        ticks = (TimeTick(datetime(day.year, day.month, day.day, tzinfo=zone), unit) for day in days)
        within = tuple(islice((tick for tick in ticks if first <= tick.at <= last), MOST_TICKS + 1))
        if len(within) <= MOST_TICKS:
            return within
    return ()


def _choices(begin: date, end: date) -> Iterator[tuple[Unit, Iterator[date]]]:
    for step in _DAYS:
        monday = begin - timedelta(days=begin.weekday())
        yield Unit.DAY, _by_days(begin if step < 7 else monday, end, step)
    for step in _MONTHS:
        yield Unit.MONTH, _by_months(begin, end, step)
    years = end.year - begin.year + 1
    yield Unit.YEAR, _by_months(begin, end, 12 * -(-years // MOST_TICKS))


def _by_days(first: date, end: date, step: int) -> Iterator[date]:
    day = first
    while day <= end:
        yield day
        day += timedelta(days=step)


def _by_months(begin: date, end: date, step: int) -> Iterator[date]:
    number = begin.year * 12
    while number <= end.year * 12 + end.month - 1:
        yield date(number // 12, number % 12 + 1, 1)
        number += step
