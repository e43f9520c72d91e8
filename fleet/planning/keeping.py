"""Which dated copies stay, and what holds each (trade rule C11).

Kept are the latest copy of each of the last so many days, ISO weeks, months and years *that hold one*, in
the home's own time zone, and every pinned copy. Counting only buckets that hold a copy means that a home
which was offline for half a year loses nothing by it. Common practice, no source; ISO weeks as in ISO 8601.
"""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Generic, NamedTuple, TypeVar
from zoneinfo import ZoneInfo

from fleet.planning.local_days import buckets_of, utc_days

K = TypeVar("K", bound=Hashable)

MOST = 9_999
_END_OF_TIME = datetime.max.replace(tzinfo=UTC)
# Sorts after every label of a bucket: nothing reaches a tier that wants none.
_OUT_OF_REACH = "~"


class KeepRuleError(ValueError):
    """A keep rule has a number that cannot be right."""


class CopyTimeError(ValueError):
    """A copy's time has no zone, or the copies do not come newest first."""


@dataclass(frozen=True, slots=True)
class KeepRule:
    """How many buckets of each tier hold a copy, and how long a marked copy waits. All are from 0 to MOST."""

    days: int = 14
    weeks: int = 8
    months: int = 12
    years: int = 5
    grace_days: int = 7

    def __post_init__(self) -> None:
        for name in ("days", "weeks", "months", "years", "grace_days"):
            value = getattr(self, name)
            if not 0 <= value <= MOST:
                raise KeepRuleError(f"The keep rule's {name} is {value}; it must be from 0 to {MOST}.")

    def in_words(self) -> str:
        """The rule as a person reads it."""
        tiers = ((self.days, "day"), (self.weeks, "ISO week"), (self.months, "month"), (self.years, "year"))
        kept = ", ".join(_times(count, what) for count, what in tiers)
        return f"{kept}; erased {_times(self.grace_days, 'day')} after marking"


class Copy(NamedTuple, Generic[K]):
    """What the keep rules need to know of one snapshot.

    A tuple and not a dataclass, because a round passes a million of them. taken_at is the capture time.
    holds are pins that others set, named for people ("before swap to A2-0111", "legal hold"; see pinning).
    key_epoch names the life of one network key, never the key; None means that no copy need be kept for its
    key any more.
    """

    key: K
    taken_at: datetime
    sound: bool = True
    seen_live: bool = False
    proven: bool = False
    key_epoch: str | None = None
    holds: tuple[str, ...] = ()


_Reasons = dict[K, tuple[str, ...]]
Row = tuple[K, datetime, bool, bool, bool, str | None, tuple[str, ...]]
"""The seven values of a Copy in a plain tuple: to name them takes as long as to judge them."""


def keep(copies: Iterable[Row[K]], rule: KeepRule, zone: ZoneInfo) -> dict[K, tuple[str, ...]]:
    """The keys of the copies that stay, newest first, each with the tiers and pins that hold it.

    copies (Copy, or Row) come newest first and are read once; of two copies of one instant the first counts as the
    newer. In a bucket the latest sound copy stands for it, or the latest where none is sound. The last sound copy
    is always kept. Keeping again what was kept changes nothing, and so does thinning every night.

    Raises CopyTimeError where a time has no zone or the order is wrong.
    """
    reasons: _Reasons[K] = {}
    days, weeks = _Tier(rule.days, reasons), _Tier(rule.weeks, reasons)
    months, years = _Tier(rule.months, reasons), _Tier(rule.years, reasons)
    pins = _Pins(reasons)
    calendar = utc_days(zone)
    previous, settled = _END_OF_TIME, None
    for key, taken_at, sound, seen_live, proven, key_epoch, holds in copies:
        if taken_at.tzinfo is not UTC:
            taken_at = _in_utc(key, taken_at)
        if taken_at > previous:
            raise CopyTimeError(f"Copy {key} of {taken_at:%Y-%m-%d %H:%M} is newer than the one before it.")
        previous = taken_at
        # Written out: a call for each copy would cost as much as the rest of the loop.
        turn, before, after = calendar[taken_at.toordinal()]
        if turn is None:
            buckets = buckets_of(taken_at.astimezone(zone).toordinal())
        else:
            buckets = after if taken_at >= turn else before
        mine: tuple[str, ...] = ()
        if buckets is not settled:
            day, week, month, year = buckets
            # A copy in a bucket that is settled or too old is the common case, and must cost no call either.
            if day != days.settled and day >= days.floor and days.takes(day, key, sound):
                mine = (day,)
            if week != weeks.settled and week >= weeks.floor and weeks.takes(week, key, sound):
                mine += (week,)
            if month != months.settled and month >= months.floor and months.takes(month, key, sound):
                mine += (month,)
            if year != years.settled and year >= years.floor and years.takes(year, key, sound):
                mine += (year,)
            if sound:
                settled = buckets
        if sound and pins.wants_sound:
            pins.wants_sound = False
            mine += ("last sound",)
        if seen_live and pins.wants_seen_live:
            pins.wants_seen_live = False
            mine += ("last seen live",)
        if proven and pins.wants_proven:
            pins.wants_proven = False
            mine += ("last proven",)
        if key_epoch != pins.settled_epoch and key_epoch is not None and pins.takes(key_epoch, key, sound):
            mine += (_pin_of(key_epoch),)
        if holds:
            mine += holds
        if mine:
            reasons[key] = mine
    return reasons


class _Tier(Generic[K]):
    """The copy that stands for each of the last `size` buckets met so far.

    Buckets older than floor are out of reach; settled is a bucket that a sound copy stands for already. Local
    time can run back over midnight, so buckets need not come in order.
    """

    __slots__ = ("floor", "reasons", "settled", "size", "standing", "unsound")

    def __init__(self, size: int, reasons: _Reasons[K]) -> None:
        self.size = size
        self.reasons = reasons
        self.standing: dict[str, K] = {}
        self.unsound: set[str] = set()
        self.floor = "" if size else _OUT_OF_REACH
        self.settled = ""

    def takes(self, bucket: str, key: K, sound: bool) -> bool:
        """Whether this copy now stands for the bucket."""
        if bucket not in self.standing:
            self.standing[bucket] = key
            if len(self.standing) >= self.size:
                self._close()
        elif bucket not in self.unsound:
            self.settled = bucket
            return False
        elif sound:
            _let_go(self.reasons, self.standing[bucket], bucket)
            self.standing[bucket] = key
            self.unsound.discard(bucket)
        else:
            return False
        if sound:
            self.settled = bucket
        else:
            self.unsound.add(bucket)
        return True

    def _close(self) -> None:
        if len(self.standing) > self.size:
            oldest = min(self.standing)
            _let_go(self.reasons, self.standing.pop(oldest), oldest)
        self.floor = min(self.standing)


class _Pins(Generic[K]):
    """Which pins no copy has yet, and the one that stands for each key epoch: the latest sound one, or the latest."""

    __slots__ = ("reasons", "settled_epoch", "standing", "wants_proven", "wants_seen_live", "wants_sound")

    def __init__(self, reasons: _Reasons[K]) -> None:
        self.reasons = reasons
        self.wants_sound = self.wants_seen_live = self.wants_proven = True
        self.standing: dict[str, tuple[K, bool]] = {}
        self.settled_epoch: str | None = None

    def takes(self, epoch: str, key: K, sound: bool) -> bool:
        """Whether this copy now stands for the key epoch."""
        standing = self.standing.get(epoch)
        if sound:
            self.settled_epoch = epoch
        if standing is not None:
            if standing[1] or not sound:
                return False
            _let_go(self.reasons, standing[0], _pin_of(epoch))
        self.standing[epoch] = (key, sound)
        return True


def _pin_of(epoch: str) -> str:
    return f"key epoch {epoch}"


def _let_go(reasons: _Reasons[K], key: K, reason: str) -> None:
    """Take back what held a copy; one that nothing else holds is not kept."""
    left = tuple(other for other in reasons[key] if other != reason)
    if left:
        reasons[key] = left
    else:
        del reasons[key]


def _times(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _in_utc(key: Hashable, taken_at: datetime) -> datetime:
    if taken_at.tzinfo is None:
        raise CopyTimeError(f"Copy {key} has a time without a zone, {taken_at}; give an aware time.")
    return taken_at.astimezone(UTC)
