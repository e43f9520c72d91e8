"""The middle and the far end of a few values: what half of them do not exceed, and what nearly all do not."""

import math
from collections.abc import Iterable
from dataclasses import dataclass


class SpreadError(ValueError):
    """A share that is none."""


@dataclass(frozen=True, slots=True)
class Spread:
    """How many values there are, their median and a high percentile; both None where there is no value."""

    n: int
    median: float | None
    high: float | None


def spread_of(values: Iterable[float], high: float = 0.95) -> Spread:
    """The spread of values in any order; high is the share of values that the far end is not exceeded by."""
    known = sorted(values)
    return Spread(len(known), percentile(known, 0.5), percentile(known, high))


def percentile(in_order: list[float], share: float) -> float | None:
    """The value that this share (0 to 1) of values in rising order does not exceed; None of none.

    Between two neighbours it is taken on the straight line (Hyndman and Fan 1996, definition 7; recalled).
    """
    if not 0 <= share <= 1:
        raise SpreadError(f"share: {share}; right is 0 to 1")
    if not in_order:
        return None
    place = share * (len(in_order) - 1)
    low = math.floor(place)
    below, above = in_order[low], in_order[min(low + 1, len(in_order) - 1)]
    return below + (above - below) * (place - low)
