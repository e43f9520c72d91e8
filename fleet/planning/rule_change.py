"""What a change of keep rule does to copies, worked out before anything is saved (trade rule C11, row C-7)."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from fleet.planning.keeping import Copy, K, KeepRule, keep
from fleet.planning.marking import goes_at

# A change that takes more than this share of the book's kept copies is not for one person alone.
SHARE_OF_ONE_PERSON = 0.05
# Copies go on landing while somebody reads what they were shown: so much more is still the same effect.
DRIFT = 0.01


@dataclass(frozen=True, slots=True)
class Effect:
    """How many copies a change marks, takes the mark off, and lets go sooner.

    sooner counts copies that are marked already and go with the next whole round, because the grace time is
    shorter than it was.
    """

    marked: int = 0
    unmarked: int = 0
    sooner: int = 0

    def __add__(self, other: "Effect") -> "Effect":
        return Effect(self.marked + other.marked, self.unmarked + other.unmarked, self.sooner + other.sooner)

    def __bool__(self) -> bool:
        return self != Effect()

    @property
    def lost(self) -> int:
        """Copies that the book would be without sooner or later, and would not be otherwise, or not yet."""
        return self.marked + self.sooner


def needs_second_person(effect: Effect, kept: int) -> bool:
    """Whether a change is so large that a second person must agree; kept is how many copies the book keeps now."""
    return effect.lost > SHARE_OF_ONE_PERSON * kept


def is_as_seen(seen: Effect, found: Effect) -> bool:
    """Whether a change takes no more than somebody was shown, but for the drift of a living book."""
    return found.lost <= seen.lost * (1 + DRIFT)


def effect_on(
    copies: Sequence[Copy[K]],
    marked_at: Mapping[K, datetime],
    before: KeepRule,
    after: KeepRule,
    zone: ZoneInfo,
    now: datetime,
) -> Effect:
    """The effect on one mesh's copies, newest first; marked_at holds the time of each mark now set."""
    kept = keep(copies, before, zone)
    kept_after = kept if _same_tiers(before, after) else keep(copies, after, zone)
    sooner = (
        key
        for key, marked in marked_at.items()
        if key not in kept
        and key not in kept_after
        and goes_at(marked, after.grace_days) <= now < goes_at(marked, before.grace_days)
    )
    return Effect(
        marked=len(kept.keys() - kept_after.keys()),
        unmarked=len(kept_after.keys() - kept.keys()),
        sooner=sum(1 for _ in sooner),
    )


def _same_tiers(before: KeepRule, after: KeepRule) -> bool:
    return replace(before, grace_days=after.grace_days) == after
