"""When a home's next drill is due, and what drills without a failure allow to be claimed (trade rule C16)."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from fleet.planning.freshness import age_of, told_apart
from fleet.planning.phrases.ready import Age
from fleet.planning.sentences import Sentence

USUAL_DAYS = 365
SAFETY_DAYS = 182
"""Twelve months, and six where locks, heating, alarms or calls hang on the mesh (C16)."""


class DrillError(ValueError):
    """A drill figure that cannot be right."""


class DrillKind(StrEnum):
    """Paper walk-through, write to a blank spare that radiates nothing, or a live swap.

    Only the last proves that devices answer; paper proves nothing about the spare.
    """

    PAPER = "paper"
    BENCH = "bench"
    LIVE = "live"


class DrillState(StrEnum):
    """Where a home stands in its interval."""

    NEVER = "never"
    CURRENT = "current"
    DUE = "due"
    OVERDUE = "overdue"
    FAILED = "failed"


@dataclass(frozen=True, slots=True)
class DrillFacts:
    """One drill that was held. own_pair_only: on another build than the plan's spare has, so that it says nothing of
    this home."""

    kind: DrillKind
    held_at: datetime
    passed: bool
    own_pair_only: bool = False

    @property
    def counts(self) -> bool:
        """Whether it says that this home could be brought back, or not."""
        return self.kind is not DrillKind.PAPER and not self.own_pair_only


@dataclass(frozen=True, slots=True)
class DrillStanding:
    """Where a home stands, the last drill that counts, when the next is due, and one sentence."""

    state: DrillState
    last_at: datetime | None
    due_at: datetime | None
    why: Sentence

    @property
    def because(self) -> str:
        """The sentence in English."""
        return self.why.text

    @property
    def within_interval(self) -> bool:
        """True while the last counting drill passed and is not too old."""
        return self.state in (DrillState.CURRENT, DrillState.DUE)


def agreed_interval(agreed_days: int | None, guards: bool) -> int:
    """How many days may lie between two drills: as agreed, else 12 months; 6 months at most where devices guard."""
    days = USUAL_DAYS if agreed_days is None else agreed_days
    return min(days, SAFETY_DAYS) if guards else days


def judge_drills(
    drills: Iterable[DrillFacts], interval_days: int, now: datetime, notice_days: int = 30
) -> DrillStanding:
    """Judge the newest bench or live drill by the agreed interval (1 day or more).

    Paper walk-throughs do not count, nor drills for their own pair of builds only, nor those dated after now. From
    notice_days before its day a drill is due, after it overdue; a failed one must be repeated whatever its age.
    """
    if interval_days < 1:
        raise DrillError(f"The drill interval is {interval_days} days; it must be 1 day or more.")
    counting = [drill for drill in drills if drill.counts and drill.held_at <= now]
    if not counting:
        return DrillStanding(DrillState.NEVER, None, None, Age.DRILL_NEVER.of())
    last = max(counting, key=lambda drill: drill.held_at)
    age_hours = (now - last.held_at).total_seconds() / 3600
    if not last.passed:
        why = Age.DRILL_FAILED.of(age=age_of(age_hours))
        return DrillStanding(DrillState.FAILED, last.held_at, now, why)
    due_at = last.held_at + timedelta(days=interval_days)
    state = DrillState.CURRENT
    if now > due_at:
        state = DrillState.OVERDUE
    elif now >= due_at - timedelta(days=notice_days):
        state = DrillState.DUE
    aged, limit = told_apart(age_hours, interval_days * 24)
    return DrillStanding(state, last.held_at, due_at, Age.DRILL.of(age=aged, limit=limit))


def failing_share_upper(drills: int, confidence: float = 0.95) -> float:
    """The share of homes that may fail at most, after so many drills drawn at random and none failed.

    1 - (1 - confidence)^(1/n), for a large book; 1, which is no claim at all, without a drill.
    """
    if drills < 0:
        raise DrillError(f"The count of drills is {drills}; it must be 0 or more.")
    return 1.0 if drills == 0 else 1 - (1 - confidence) ** (1 / drills)


def drills_to_rule_out(homes: int, share: float = 0.05, confidence: float = 0.95) -> int:
    """How many of so many homes must be drilled without a failure to rule out that share of bad ones.

    Exact for drawing without replacement; the share is rounded up to whole homes, one at least.
    """
    if homes < 1:
        raise DrillError(f"The book has {homes} homes; it must have 1 or more.")
    if not 0 < share <= 1:
        raise DrillError(f"The share to rule out is {share}; it must be over 0 and at most 1.")
    bad = math.ceil(round(homes * share, 9))
    for drawn in range(1, homes - bad + 1):
        if math.comb(homes - bad, drawn) / math.comb(homes, drawn) <= 1 - confidence:
            return drawn
    return homes - bad + 1
