"""The rings of a passage as a picture: one circle in another, the bench innermost, each drawn as far as it is done.

Units are those of the picture's own grid. Nothing here draws.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from fleet.planning.rings import RingStand, RingState

SIDE = 240
"""The picture is a square of this side."""
INNERMOST = 28
APART = 24
WHOLE = 100
"""The length that every circle is said to have."""


@dataclass(frozen=True, slots=True)
class Circle:
    """One ring: its radius, how much of its length (0 to 100) is clean and how much went worse, and its state."""

    radius: int
    clean: float
    worse: float
    state: RingState
    stand: RingStand

    @property
    def rest_after_clean(self) -> float:
        """What is left of the length after the clean part."""
        return WHOLE - self.clean

    @property
    def turned(self) -> float:
        """Where the part that went worse begins, in degrees."""
        return self.clean * 360 / WHOLE

    @property
    def foot(self) -> float:
        """How low its number is written, at the bottom of the circle."""
        return SIDE / 2 + self.radius + 5

    @property
    def rest_after_worse(self) -> float:
        """What is left of the length after the part that went worse."""
        return WHOLE - self.worse


def circles(rings: Sequence[RingStand]) -> tuple[Circle, ...]:
    """A circle for each ring, from the innermost out."""
    return tuple(_circle(place, ring) for place, ring in enumerate(rings))


def _circle(place: int, ring: RingStand) -> Circle:
    def share(count: int) -> float:
        return round(count / ring.size * WHOLE, 1) if ring.size else 0.0

    return Circle(
        radius=INNERMOST + place * APART,
        clean=share(ring.clean),
        worse=share(ring.done - ring.clean),
        state=ring.state,
        stand=ring,
    )
