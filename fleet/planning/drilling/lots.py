"""Which meshes are drilled next: drawn by lot, pairs of builds that were tried least with the greatest weight (C16).

Whoever chooses by hand chooses the easy homes. The seed, the weights and the outcome are kept, and the same seed over
the same lots gives the same outcome, so that anybody can draw again. Only Random.random() is asked, whose numbers
Python promises to keep for a seed (library reference, module random).
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from random import Random

from fleet.planning.compatibility import PairRecord
from fleet.planning.drills import drills_to_rule_out

FULL_WEIGHT = 1000
LEAST_WEIGHT = 50
"""Of a thousand, for a pair of which all is proven: such a home is drawn more seldom, but never left out."""
MONTHS_A_YEAR = 12


class LotsError(ValueError):
    """Lots that cannot be drawn."""


@dataclass(frozen=True, slots=True)
class Lot:
    """One mesh, how often its pair of builds was tried and passed, and its weight of 1000."""

    mesh: str
    trials: int
    passes: int
    weight: int


def lot_of(mesh: str, record: PairRecord) -> Lot:
    """A mesh's lot: what the pair's record leaves open, the share that may fail at most, of 1000 (C8)."""
    open_share = 1 - record.lower_bound if record.trials else 1.0
    return Lot(mesh, record.trials, record.passes, max(LEAST_WEIGHT, round(FULL_WEIGHT * open_share)))


def draw(lots: Iterable[Lot], count: int, random: Random) -> tuple[str, ...]:
    """So many meshes one after the other, each with a chance in proportion to its weight among those left.

    The order in which the lots come does not matter. Raises LotsError for a count that cannot be drawn.
    """
    left = sorted(lots, key=lambda lot: lot.mesh)
    if len({lot.mesh for lot in left}) != len(left):
        raise LotsError("A mesh has two lots; each must have one.")
    if any(lot.weight < 1 for lot in left):
        raise LotsError("A lot has a weight below 1; each must have a chance.")
    if not 0 <= count <= len(left):
        raise LotsError(f"{count} meshes cannot be drawn from {len(left)}.")
    return tuple(_take(left, random).mesh for _ in range(count))


def _take(left: list[Lot], random: Random) -> Lot:
    at = int(random.random() * sum(lot.weight for lot in left))
    for place, lot in enumerate(left):
        at -= lot.weight
        if at < 0:
            return left.pop(place)
    return left.pop()  # random() is below 1, so that only rounding could lead here


def how_many(meshes: int) -> int:
    """How many to draw in a month, so that a year of draws without a failure rules out 5 % bad ones; 0 in no book."""
    return math.ceil(drills_to_rule_out(meshes) / MONTHS_A_YEAR) if meshes else 0


def unevenness(lots: Iterable[Lot]) -> float:
    """Mean weight over the least: by how much a bound on what was drawn is widened to hold for any mesh; 1 or more.

    With weights w the share of failing lots, by weight, is at least (failing / all) * least / mean.
    """
    weights = [lot.weight for lot in lots]
    return sum(weights) / len(weights) / min(weights) if weights else 1.0
