"""A callback: somebody had to come back to a home after a swap that was accepted there (trade row P7).

A visit made within the thirty days of the watch belongs to the swap that caused it, whoever drives. Causes are kept
apart: work that was due anyway is no callback, what is said of one mesh counts for the swap of that mesh only, and what
names no mesh counts for the newest swap of the home. Thirty days are common practice, no source.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

WATCH = timedelta(days=30)
"""From acceptance, by the clock: as long as the new radio is watched."""


@dataclass(frozen=True, slots=True)
class Accepted:
    """One swap in a home: of which mesh, and when it was first accepted."""

    key: int
    mesh: int
    at: datetime


@dataclass(frozen=True, slots=True)
class Made:
    """One visit that was made there. swaps: those that it was made for, which it never calls back to.

    about: the meshes that it had unplanned work in; no_mesh: it had unplanned work that names none.
    """

    key: int
    at: datetime
    swaps: frozenset[int] = frozenset()
    about: frozenset[int] = frozenset()
    no_mesh: bool = False


@dataclass(frozen=True, slots=True)
class Callback:
    """One visit that calls back to a swap. names_mesh: its work names the mesh; else the swap is the likeliest."""

    visit: int
    at: datetime
    names_mesh: bool


def called_back(swaps: Iterable[Accepted], visits: Iterable[Made]) -> dict[int, tuple[Callback, ...]]:
    """By the swap's key, the callbacks in their order; all swaps and visits are of one home. None: no entry."""
    newest_first = sorted(swaps, key=lambda swap: (swap.at, swap.key), reverse=True)
    found: dict[int, list[Callback]] = defaultdict(list)
    for visit in sorted(visits, key=lambda visit: (visit.at, visit.key)):
        could = [
            swap
            for swap in newest_first
            if swap.at < visit.at <= swap.at + WATCH and swap.key not in visit.swaps
        ]
        named = {mesh: next((swap.key for swap in could if swap.mesh == mesh), None) for mesh in visit.about}
        for key in {key for key in named.values() if key is not None}:
            found[key].append(Callback(visit.key, visit.at, names_mesh=True))
        if visit.no_mesh and could and could[0].key not in named.values():
            found[could[0].key].append(Callback(visit.key, visit.at, names_mesh=False))
    return {key: tuple(callbacks) for key, callbacks in found.items()}
