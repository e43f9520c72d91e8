"""Minutes of a restore from what the firm's own drills took, in place of what is common practice (C7, C16)."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from fleet.planning.drilling.steps import MEASURES, Step
from fleet.planning.estimating import RestoreWork, ThreePoints

ENOUGH = 5
"""Fewer say less than the trade does. Common practice, no source."""
LOW_PERCENT, LIKELY_PERCENT, HIGH_PERCENT = 10, 50, 90


class MinutesError(ValueError):
    """Minutes that cannot be right."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """The work of a restore. drills: by part of the work, how many drills it was taken from; others are as usual."""

    work: RestoreWork = field(default_factory=RestoreWork)
    drills: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def least(self) -> int:
        """How many drills stand behind the part that has the fewest of those taken from drills; 0 without any."""
        return min(self.drills.values(), default=0)


def three_points(minutes: Sequence[float]) -> ThreePoints:
    """The 10th, 50th and 90th percentile by nearest rank: a value that was measured, never one in between."""
    if not minutes:
        raise MinutesError("No minutes were recorded; at least one drill is needed.")
    if any(not math.isfinite(value) or value < 0 for value in minutes):
        raise MinutesError("Minutes must be finite and 0 or more.")
    ordered = sorted(minutes)
    low, likely, high = (
        ordered[max(0, -(-percent * len(ordered) // 100) - 1)]
        for percent in (LOW_PERCENT, LIKELY_PERCENT, HIGH_PERCENT)
    )
    return ThreePoints(low, likely, high)


def recorded_work(minutes: Mapping[Step, Sequence[float]], usual: RestoreWork | None = None) -> Recorded:
    """Each part that enough drills have measured by what they measured, the rest as usual."""
    measured = {
        MEASURES[step]: taken for step, taken in minutes.items() if step in MEASURES and len(taken) >= ENOUGH
    }
    parts = {part: three_points(taken) for part, taken in measured.items()}
    counts = {part: len(taken) for part, taken in measured.items()}
    return Recorded(replace(usual or RestoreWork(), **parts), MappingProxyType(counts))
