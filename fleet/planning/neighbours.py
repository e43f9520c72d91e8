"""Who lies near whom: for each of many places the nearest others, without measuring every pair.

Places stand on a sphere in three coordinates and are put into cells, finer ones first: a straight line through the
earth is never longer than the way over it, so that all within a cell's width lie in the cells around.
"""

import math
from collections import defaultdict
from collections.abc import Hashable, Mapping
from typing import Generic, TypeVar

from fleet.planning.reach import MEAN_EARTH_RADIUS_KM, Position, great_circle_km

CELLS_KM = (1.0, 5.0, 25.0)
AROUND = tuple((x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1))

Key = TypeVar("Key", bound=Hashable)
_Cell = tuple[int, int, int]


class Neighbours(Generic[Key]):
    """Places by key; `nearest` answers for one of them. Two of one position are 0 km apart."""

    def __init__(self, places: Mapping[Key, Position]) -> None:
        self._places = dict(places)
        self._cells: list[dict[_Cell, list[Key]]] = [defaultdict(list) for _ in CELLS_KM]
        for key, position in self._places.items():
            for width, cells in zip(CELLS_KM, self._cells, strict=True):
                cells[_cell(position, width)].append(key)

    def nearest(self, key: Key, most: int) -> tuple[tuple[Key, float], ...]:
        """At most so many others within 25 km, each with its kilometres, the nearest first.

        None where the position of the key is not known.
        """
        here = self._places.get(key)
        if here is None:
            return ()
        found: list[tuple[float, str, Key]] = []
        for width, cells in zip(CELLS_KM, self._cells, strict=True):
            found = self._within(key, here, width, cells)
            if len(found) >= most:
                break
        return tuple((other, far) for far, _, other in found[:most])

    def _within(
        self, key: Key, here: Position, width: float, cells: Mapping[_Cell, list[Key]]
    ) -> list[tuple[float, str, Key]]:
        x, y, z = _cell(here, width)
        near = (other for dx, dy, dz in AROUND for other in cells.get((x + dx, y + dy, z + dz), ()))
        measured = (
            (great_circle_km(here, self._places[other]), str(other), other) for other in near if other != key
        )
        return sorted((each for each in measured if each[0] <= width), key=lambda each: each[:2])


def _cell(position: Position, width_km: float) -> _Cell:
    north, east = math.radians(position.latitude), math.radians(position.longitude)
    scale = MEAN_EARTH_RADIUS_KM / width_km
    return (
        math.floor(math.cos(north) * math.cos(east) * scale),
        math.floor(math.cos(north) * math.sin(east) * scale),
        math.floor(math.sin(north) * scale),
    )
