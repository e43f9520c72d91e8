"""Minutes and money of restoring a head radio against joining every device anew (trade rule C7).

All minutes come as low, likely and high; the defaults are common practice, no source, and want replacing by
the firm's own drills. Travel counts on both sides. A failed attempt to restore adds to the joining, it does
not replace it.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from types import MappingProxyType


class EstimateError(ValueError):
    """An estimate's figure that cannot be right."""


@dataclass(frozen=True, slots=True)
class ThreePoints:
    """A low, a likely and a high value, in that order, each 0 or more."""

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        if not (0 <= self.low <= self.likely <= self.high and math.isfinite(self.high)):
            raise EstimateError(
                f"An estimate is {self.low}, {self.likely}, {self.high}; "
                "it must be low, likely, high, finite and not below 0."
            )

    @classmethod
    def exactly(cls, value: float) -> "ThreePoints":
        """A value without doubt."""
        return cls(value, value, value)

    @property
    def mean(self) -> float:
        """(low + 4 likely + high) / 6, the three-point mean of network planning (PERT; recalled)."""
        return (self.low + 4 * self.likely + self.high) / 6

    def __add__(self, other: "ThreePoints") -> "ThreePoints":
        return ThreePoints(self.low + other.low, self.likely + other.likely, self.high + other.high)

    def __mul__(self, other: "ThreePoints") -> "ThreePoints":
        return ThreePoints(self.low * other.low, self.likely * other.likely, self.high * other.high)

    def without(self, part: "ThreePoints") -> "ThreePoints":
        """What is left of a sum that holds this part."""
        return ThreePoints(self.low - part.low, self.likely - part.likely, self.high - part.high)

    def times(self, factor: float) -> "ThreePoints":
        """Every point multiplied by a factor of 0 or more."""
        return self * ThreePoints.exactly(factor)


NO_MINUTES = ThreePoints(0, 0, 0)
ONCE = ThreePoints(1, 1, 1)


class DeviceClass(StrEnum):
    """How a device is reached when it must be joined by hand."""

    PLUG_IN = "plug_in"
    BATTERY = "battery"
    FIXED = "fixed"
    LIFE_SAFETY = "life_safety"
    LOCK = "lock"


@dataclass(frozen=True, slots=True)
class RestoreWork:
    """Minutes of each step of a restore; verifying is per node."""

    diagnose: ThreePoints = ThreePoints(5, 10, 20)
    write: ThreePoints = ThreePoints(2, 5, 15)
    restart: ThreePoints = ThreePoints(2, 5, 10)
    settle: ThreePoints = ThreePoints(10, 25, 60)
    verify_per_node: ThreePoints = ThreePoints(0.25, 0.5, 1)


REJOIN_MINUTES: Mapping[DeviceClass, ThreePoints] = MappingProxyType(
    {
        DeviceClass.PLUG_IN: ThreePoints(2, 3, 5),
        DeviceClass.BATTERY: ThreePoints(3, 4, 8),
        DeviceClass.FIXED: ThreePoints(5, 8, 15),
        DeviceClass.LIFE_SAFETY: ThreePoints(8, 12, 20),
        DeviceClass.LOCK: ThreePoints(10, 15, 30),
    }
)


@dataclass(frozen=True, slots=True)
class RejoinWork:
    """Minutes to join a device of each class, the share done twice, and minutes a node to link it up."""

    minutes: Mapping[DeviceClass, ThreePoints] = field(default_factory=lambda: REJOIN_MINUTES)
    rework_share: ThreePoints = ThreePoints(0.05, 0.10, 0.25)
    relink_per_node: ThreePoints = ThreePoints(1, 1.5, 3)


@dataclass(frozen=True, slots=True)
class Weighing:
    """Restore first, or join everything anew?

    break_even is the chance of success above which trying first is cheaper (None where joining costs
    nothing); try_first and saving are None where the chance is not known. A saving below 0 is a loss.
    """

    restore_cost: Decimal
    rejoin_cost: Decimal
    break_even: float | None
    try_first: bool | None
    saving: Decimal | None


def restore_minutes(
    nodes: int, travel: ThreePoints = NO_MINUTES, work: RestoreWork | None = None
) -> ThreePoints:
    """Travel, diagnose, write, restart, settle, and verify every one of the nodes (0 or more)."""
    _count(nodes, "nodes")
    work = work or RestoreWork()
    bench = work.diagnose + work.write + work.restart + work.settle
    return travel + bench + work.verify_per_node.times(nodes)


def rejoin_minutes(
    counts: Mapping[DeviceClass, int], travel: ThreePoints = NO_MINUTES, work: RejoinWork | None = None
) -> ThreePoints:
    """Travel, join each device of each class, some of them twice, and link every node up again."""
    work = work or RejoinWork()
    joining = NO_MINUTES
    for kind, count in counts.items():
        joining += work.minutes[kind].times(_count(count, kind.value))
    return travel + joining * (ONCE + work.rework_share) + work.relink_per_node.times(sum(counts.values()))


def cost(minutes: float, per_hour: Decimal, smallest: Decimal = Decimal("0.01")) -> Decimal:
    """Money for so many minutes, rounded half up to the currency's smallest unit (ISO 4217)."""
    return (Decimal(str(round(minutes, 6))) * per_hour / 60).quantize(smallest, ROUND_HALF_UP)


def weigh(restore_cost: Decimal, rejoin_cost: Decimal, chance: float | None) -> Weighing:
    """Weigh trying a restore first against joining everything at once.

    chance is that of a restore to succeed, 0 to 1: the lower bound from this pair's drills and swaps, not
    their mean. Trying first costs the restore, and with (1 - chance) the joining on top.
    """
    if chance is not None and not 0 <= chance <= 1:
        raise EstimateError(f"The chance of success is {chance}; it must lie between 0 and 1.")
    break_even = float(restore_cost / rejoin_cost) if rejoin_cost else None
    if chance is None:
        return Weighing(restore_cost, rejoin_cost, break_even, None, None)
    saving = (rejoin_cost * Decimal(str(chance)) - restore_cost).quantize(restore_cost, ROUND_HALF_UP)
    return Weighing(restore_cost, rejoin_cost, break_even, saving > 0, saving)


def _count(value: int, name: str) -> int:
    if value < 0:
        raise EstimateError(f"The count of {name} is {value}; it must be 0 or more.")
    return value
