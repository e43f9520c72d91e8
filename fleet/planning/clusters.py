"""Failures that lie close together in time and place: they may have had one cause, such as a storm (trade rule C12).

The Poisson bound on a rate takes failures as independent, so the largest such cluster belongs beside it. Seven days
and 25 km are common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet.planning.reach import Position, great_circle_km

WITHIN = timedelta(days=7)
WITHIN_KM = 25.0
STANDS_OUT = 3
"""Of six failures strewn over a year in one town, two lie within a week of each other nearly every other time; three do
in 3 of 100 (simulated). Larger families take a sharper look."""


@dataclass(frozen=True, slots=True)
class Failure:
    """One failure: when, and where if that is known."""

    at: datetime
    place: Position | None


@dataclass(frozen=True, slots=True)
class Cluster:
    """How many failures lie together, and the first and last of them."""

    size: int
    first: datetime
    last: datetime

    @property
    def stands_out(self) -> bool:
        """Whether it is more than chance often brings together, so that one cause is likely."""
        return self.size >= STANDS_OUT


def largest_cluster(
    failures: Sequence[Failure], within: timedelta = WITHIN, kilometres: float = WITHIN_KM
) -> Cluster | None:
    """The most failures within a span of time and a way from one of them; None where no two lie together.

    A failure whose place is not known lies beside none.
    """
    placed = sorted((each for each in failures if each.place is not None), key=lambda each: each.at)
    best: list[Failure] = []
    for centre in placed:
        near = [each for each in placed if _apart(centre, each) <= kilometres]
        first = 0
        for last, each in enumerate(near):
            while each.at - near[first].at > within:
                first += 1
            if last - first + 1 > len(best):
                best = near[first : last + 1]
    return Cluster(len(best), best[0].at, best[-1].at) if len(best) > 1 else None


def _apart(one: Failure, other: Failure) -> float:
    if one.place is None or other.place is None:
        return float("inf")
    return great_circle_km(one.place, other.place)
