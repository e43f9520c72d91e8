"""Failure rates as a picture: a line from nothing to the bound for each, a dot at the mean, on one axis.

Units are those of the picture's own grid, x to the right and y downwards. Nothing here draws.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fleet.planning.rates import FailureRate

WIDTH = 420
LEFT, RIGHT = 96, 400
TOP, STEP, FOOT = 24, 32, 34
TICKS = 4


@dataclass(frozen=True, slots=True)
class Bar:
    """One rate: how high it lies in the picture, where its mean is and where its bound. None: no time served."""

    name: str
    y: int
    mean: float | None
    upper: float | None
    beyond: bool

    @property
    def top(self) -> int:
        """Where the end of the bar begins."""
        return self.y - 6

    @property
    def bottom(self) -> int:
        """Where the end of the bar ends."""
        return self.y + 6


@dataclass(frozen=True, slots=True)
class Tick:
    """A round value on the axis: failures in 100 radio-years."""

    x: float
    value: float


@dataclass(frozen=True, slots=True)
class RateChart:
    """Everything to draw."""

    bars: tuple[Bar, ...]
    ticks: tuple[Tick, ...]
    height: int

    @property
    def foot(self) -> int:
        """Where the axis is."""
        return self.height - FOOT + 4


def chart_of(rates: Sequence[tuple[str, FailureRate]]) -> RateChart:
    """The picture of these named rates. One whose bound is ten times the least runs off the edge, and says so."""
    bounds = [rate.upper for _, rate in rates if rate.upper is not None]
    most = _round_up(min(max(bounds, default=0.01), 10 * min(bounds, default=0.01)) * 100)
    ticks = tuple(
        Tick(_x(most * step / TICKS, most), round(most * step / TICKS, 4)) for step in range(TICKS + 1)
    )
    bars = tuple(_bar(place, name, rate, most) for place, (name, rate) in enumerate(rates))
    return RateChart(bars, ticks, TOP + STEP * len(rates) + FOOT)


def _bar(place: int, name: str, rate: FailureRate, most: float) -> Bar:
    y = TOP + STEP * place + STEP // 2
    if rate.upper is None or rate.mean is None:
        return Bar(name, y, None, None, False)
    return Bar(name, y, _x(rate.mean * 100, most), _x(rate.upper * 100, most), rate.upper * 100 > most)


def _x(value: float, most: float) -> float:
    return round(LEFT + min(value / most, 1.0) * (RIGHT - LEFT), 1)


def _round_up(value: float) -> float:
    """To 1, 2, 4 or 8 times a power of ten, so that quarters are round too."""
    power = 10.0 ** math.floor(math.log10(value))
    return next(step * power for step in (1, 2, 4, 8, 10) if step * power >= value)
