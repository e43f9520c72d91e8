"""A storm as a picture: a bar for each home along a time axis. Nothing here draws.

Units are those of the picture's own grid, x to the right and y downwards. The bar runs from the strike to the minute by
which half of the runs had the home back; a thinner one runs on to nine in ten. A home that is not back has a broken
line to the edge.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from fleet.planning.storm.answer import HomeBack, StormAnswer

WIDTH, LEFT, RIGHT = 420, 96, 408
TOP, ROW, FOOT = 8, 22, 26
MOST_TICKS = 6
_STEPS = (30, 60, 120, 240, 360, 720, 1440, 2880, 4320)
"""Minutes between two marks of the axis."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One home: y of its middle, where its name stands; x of half and of nine in ten, None where it is not back."""

    home: HomeBack
    y: float
    half: float | None
    most: float | None


@dataclass(frozen=True, slots=True)
class Mark:
    """A round time on the axis."""

    x: float
    words: str


@dataclass(frozen=True, slots=True)
class StormChart:
    """Everything to draw."""

    height: int
    foot: float
    bars: tuple[Bar, ...]
    marks: tuple[Mark, ...]


def chart_of(answer: StormAnswer) -> StormChart:
    """The picture of an answer, the homes in its order."""
    longest = max((home.p90 or 0.0 for home in answer.homes), default=0.0) or 60.0
    step = next(
        (step for step in _STEPS if longest / step <= MOST_TICKS), _STEPS[-1] * ceil(longest / 20_000)
    )
    end = step * ceil(longest / step)
    foot = TOP + ROW * len(answer.homes)
    return StormChart(
        height=foot + FOOT,
        foot=foot,
        bars=tuple(_bar(number, home, end) for number, home in enumerate(answer.homes)),
        marks=tuple(Mark(_along(at, end), _told(at)) for at in _times(end, step)),
    )


def _times(end: float, step: int) -> Sequence[int]:
    return range(0, int(end) + 1, step)


def _bar(number: int, home: HomeBack, end: float) -> Bar:
    y = TOP + ROW * (number + 0.5)
    half = None if home.p50 is None else _along(home.p50, end)
    most = None if home.p90 is None else _along(home.p90, end)
    return Bar(home, y, half, most)


def _along(minutes: float, end: float) -> float:
    return round(LEFT + minutes / end * (RIGHT - LEFT), 1)


def _told(minutes: int) -> str:
    if not minutes:
        return "0"
    if minutes % 1440 == 0:
        return f"{minutes // 1440} d"
    return f"{minutes / 60:g} h"
