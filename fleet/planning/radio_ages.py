"""Failures by the age of a radio, to see wear (trade rule C12). Age runs from the first time it was on air."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from fleet.planning.rates import FailureRate, failure_rate
from fleet.planning.service_years import YEAR, Period, Served

EDGES = (0, 1, 3, 5)
"""Years at which a band begins; the last has no end. Common practice, no source."""


class Life(NamedTuple):
    """One time in service of a radio, and when that radio first went on air."""

    began: datetime
    period: Period


@dataclass(frozen=True, slots=True)
class AgeBand:
    """A stretch of age in years (end is None for the last), and the failures in it."""

    begins: int
    ends: int | None
    rate: FailureRate

    @property
    def words(self) -> str:
        """As people read it."""
        if self.ends is None:
            return f"from {self.begins} years on"
        return "first year" if not self.begins else f"{self.begins} to {self.ends} years"


def by_age(lives: Iterable[Life], now: datetime) -> tuple[AgeBand, ...]:
    """The years served in each band, and the failures that fell into it. A time in service may span bands."""
    rows = list(lives)
    ends: tuple[int | None, ...] = (*EDGES[1:], None)
    return tuple(
        AgeBand(low, high, _rate(rows, low, high, now)) for low, high in zip(EDGES, ends, strict=True)
    )


def _rate(lives: list[Life], low: int, high: int | None, now: datetime) -> FailureRate:
    total = Served()
    for life in lives:
        period = life.period
        ended = period.until is not None and period.until <= now
        until = period.until if ended and period.until else now
        # Counted in years of age, as a date so many years on may lie past what a calendar holds.
        since, to = (period.since - life.began) / YEAR, (until - life.began) / YEAR
        served = max(0.0, min(to, float("inf") if high is None else high) - max(since, low))
        fell = period.failed and ended and low <= to and (high is None or to < high) and to > since
        total += Served(int(fell), served)
    return failure_rate(total.failures, total.years)
