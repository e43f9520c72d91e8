"""Which dated copies stay, what holds each, and when the others go (trade rule C11).

Kept are the latest copy of each of the last so many days, ISO weeks, months and years *that hold one*, in
the home's own time zone, and every pinned copy. Counting only buckets that hold a copy means that a home
which was offline for half a year loses nothing by it. Common practice, no source; ISO weeks as in ISO 8601.
"""

import sys
from collections.abc import Collection, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from typing import Generic, NamedTuple, TypeVar
from zoneinfo import ZoneInfo

K = TypeVar("K", bound=Hashable)

_DAY = timedelta(days=1)
_END_OF_TIME = datetime.max.replace(tzinfo=UTC)


class KeepRuleError(ValueError):
    """A keep rule has a number that cannot be right."""


class CopyTimeError(ValueError):
    """A copy's time has no zone, or the copies do not come newest first."""


@dataclass(frozen=True, slots=True)
class KeepRule:
    """How many buckets of each tier hold a copy, and how long a marked copy waits. All are 0 or more."""

    days: int = 14
    weeks: int = 8
    months: int = 12
    years: int = 5
    grace_days: int = 7

    def __post_init__(self) -> None:
        for name in ("days", "weeks", "months", "years", "grace_days"):
            value = getattr(self, name)
            if value < 0:
                raise KeepRuleError(f"The keep rule's {name} is {value}; it must be 0 or more.")

    def in_words(self) -> str:
        """The rule as a person reads it."""
        return (
            f"{self.days} days, {self.weeks} ISO weeks, {self.months} months, {self.years} years; "
            f"erased {self.grace_days} days after marking"
        )


class Copy(NamedTuple, Generic[K]):
    """What the keep rules need to know of one snapshot.

    A tuple and not a dataclass, because a round passes a million of them. taken_at is the capture time.
    holds are pins that others set, named for people ("before swap R-12", "after swap R-12", "legal hold").
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


@dataclass(frozen=True, slots=True)
class Marks(Generic[K]):
    """What a round does about copies that nothing holds: mark, take the mark off, erase."""

    mark: tuple[K, ...]
    unmark: tuple[K, ...]
    erase: tuple[K, ...]


def keep(copies: Iterable[Copy[K]], rule: KeepRule, zone: ZoneInfo) -> dict[K, tuple[str, ...]]:
    """The keys of the copies that stay, newest first, each with the tiers and pins that hold it.

    copies come newest first and are read once; of two copies of one instant the first counts as the newer.
    In a bucket the latest sound copy stands for it, or the latest where none is sound. The last sound copy
    is always kept. Keeping again what was kept changes nothing, and so does thinning every night.

    Raises CopyTimeError where a time has no zone or the order is wrong.
    """
    days: _Tier[K] = _Tier("day", rule.days)
    weeks: _Tier[K] = _Tier("week", rule.weeks)
    months: _Tier[K] = _Tier("month", rule.months)
    years: _Tier[K] = _Tier("year", rule.years)
    pins: _Pins[K] = _Pins()
    utc_days = _utc_days(zone)
    previous = _END_OF_TIME
    for copy in copies:
        key, taken_at, sound, seen_live, proven, key_epoch, holds = copy
        if taken_at.tzinfo is not UTC:
            taken_at = _in_utc(key, taken_at)
        if taken_at > previous:
            raise CopyTimeError(f"Copy {key} of {taken_at:%Y-%m-%d %H:%M} is newer than the one before it.")
        previous = taken_at
        turn, before, after = utc_days[taken_at.toordinal()]
        if turn is None:
            day, week, month, year = _buckets(taken_at.astimezone(zone).toordinal())
        else:
            day, week, month, year = after if taken_at >= turn else before
        # A copy in a bucket that is settled or too old is the common case, and must cost no call.
        if day != days.settled and day >= days.floor:
            days.offer(day, copy)
        if week != weeks.settled and week >= weeks.floor:
            weeks.offer(week, copy)
        if month != months.settled and month >= months.floor:
            months.offer(month, copy)
        if year != years.settled and year >= years.floor:
            years.offer(year, copy)
        if (
            (sound and pins.sound is None)
            or (seen_live and pins.seen_live is None)
            or (proven and pins.proven is None)
            or holds
            or key_epoch != pins.settled_epoch
        ):
            pins.offer(copy)
    return _reasons([*days.named(), *weeks.named(), *months.named(), *years.named(), *pins.named()])


def marks(
    copies: Iterable[Copy[K]],
    kept: Collection[K],
    marked_at: Mapping[K, datetime],
    now: datetime,
    rule: KeepRule,
    *,
    last_round_complete: bool,
) -> Marks[K]:
    """What is to be marked, unmarked and erased now.

    kept is what keep() gave for the same copies; marked_at holds the time of each mark now set. A mark is at
    least grace_days times 24 hours old when its copy goes. A mark from the future (a clock was set back)
    erases nothing. After a round that did not finish nothing is erased; marking goes on, as it can be
    undone. Where no kept copy is sound, no sound copy is erased.
    """
    mark: list[K] = []
    unmark: list[K] = []
    due: list[Copy[K]] = []
    sound_is_kept = False
    grace = timedelta(days=rule.grace_days)
    for copy in copies:
        marked = marked_at.get(copy.key)
        if copy.key in kept:
            sound_is_kept = sound_is_kept or copy.sound
            if marked is not None:
                unmark.append(copy.key)
        elif marked is None:
            mark.append(copy.key)
        elif now - marked >= grace and last_round_complete:
            due.append(copy)
    erase = tuple(copy.key for copy in due if sound_is_kept or not copy.sound)
    return Marks(tuple(mark), tuple(unmark), erase)


class _Tier(Generic[K]):
    """The copy that stands for each of the last `size` buckets met so far.

    Buckets older than floor are out of reach; settled is a bucket that a sound copy stands for already. Local
    time can run back over midnight, so buckets need not come in order.
    """

    __slots__ = ("floor", "held", "name", "settled", "size")

    def __init__(self, name: str, size: int) -> None:
        self.name = name
        self.size = size
        self.held: dict[int, Copy[K]] = {}
        self.floor = -1 if size else sys.maxsize
        self.settled = -1

    def offer(self, bucket: int, copy: Copy[K]) -> None:
        standing = self.held.get(bucket)
        if standing is None:
            self._open(bucket, copy)
        elif copy.sound and not standing.sound:
            self.held[bucket] = copy
        if copy.sound or (standing is not None and standing.sound):
            self.settled = bucket

    def _open(self, bucket: int, copy: Copy[K]) -> None:
        self.held[bucket] = copy
        if len(self.held) > self.size:
            del self.held[min(self.held)]
        if len(self.held) == self.size:
            self.floor = min(self.held)

    def named(self) -> Iterator[tuple[Copy[K], str]]:
        for bucket, copy in self.held.items():
            yield copy, _label(self.name, bucket)


class _Pins(Generic[K]):
    """The copies held whatever their age: last of each grade, one a key epoch, and those that others hold."""

    __slots__ = ("epochs", "held", "proven", "seen_live", "settled_epoch", "sound")

    def __init__(self) -> None:
        self.sound: Copy[K] | None = None
        self.seen_live: Copy[K] | None = None
        self.proven: Copy[K] | None = None
        self.epochs: dict[str, Copy[K]] = {}
        self.settled_epoch: str | None = None
        self.held: list[Copy[K]] = []

    def offer(self, copy: Copy[K]) -> None:
        if copy.sound and self.sound is None:
            self.sound = copy
        if copy.seen_live and self.seen_live is None:
            self.seen_live = copy
        if copy.proven and self.proven is None:
            self.proven = copy
        if copy.holds:
            self.held.append(copy)
        if copy.key_epoch is not None:
            self._offer_epoch(copy.key_epoch, copy)

    def _offer_epoch(self, epoch: str, copy: Copy[K]) -> None:
        standing = self.epochs.get(epoch)
        if standing is None or (copy.sound and not standing.sound):
            self.epochs[epoch] = standing = copy
        if standing.sound:
            self.settled_epoch = epoch

    def named(self) -> Iterator[tuple[Copy[K], str]]:
        grades = (
            ("last sound", self.sound),
            ("last seen live", self.seen_live),
            ("last proven", self.proven),
        )
        yield from ((copy, name) for name, copy in grades if copy is not None)
        yield from ((copy, f"key epoch {epoch}") for epoch, copy in self.epochs.items())
        yield from ((copy, hold) for copy in self.held for hold in copy.holds)


def _reasons(holds: list[tuple[Copy[K], str]]) -> dict[K, tuple[str, ...]]:
    """Each held copy's reasons in the order given, newest copy first."""
    holds.sort(key=_taken_at, reverse=True)
    reasons: dict[K, list[str]] = {}
    for copy, reason in holds:
        reasons.setdefault(copy.key, []).append(reason)
    return {key: tuple(found) for key, found in reasons.items()}


def _taken_at(hold: tuple[Copy[K], str]) -> datetime:
    return hold[0].taken_at


_Buckets = tuple[int, int, int, int]  # day, ISO week, month, year; a later one is always a greater number


@lru_cache(maxsize=20_000)
def _buckets(day: int) -> _Buckets:
    """The buckets of a local day, given as a proleptic Gregorian ordinal."""
    local = date.fromordinal(day)
    iso_year, iso_week, _ = local.isocalendar()
    return day, iso_year * 100 + iso_week, local.year * 100 + local.month, local.year


@lru_cache(maxsize=20_000)
def _label(tier: str, bucket: int) -> str:
    if tier == "day":
        return f"day {date.fromordinal(bucket).isoformat()}"
    if tier == "week":
        return f"week {bucket // 100}-W{bucket % 100:02}"
    if tier == "month":
        return f"month {bucket // 100}-{bucket % 100:02}"
    return f"year {bucket}"


class _UtcDays(dict[int, tuple[datetime | None, _Buckets, _Buckets]]):
    """For each UTC day, when the local date turns within it, and the buckets before and after that instant.

    Asking the zone for every copy costs more than all the rest. On a day on which the zone's offset changes,
    the instant is None and each copy is asked for by itself. Since 1970 no zone has changed twice in six
    days, so equal offsets at both ends of a UTC day mean one offset all through it.
    """

    def __init__(self, zone: ZoneInfo) -> None:
        super().__init__()
        self._zone = zone

    def __missing__(self, day: int) -> tuple[datetime | None, _Buckets, _Buckets]:
        start = datetime.combine(date.fromordinal(day), time(), UTC)
        offset = start.astimezone(self._zone).utcoffset()
        changes = offset is None or offset != (start + _DAY).astimezone(self._zone).utcoffset()
        turn = None if changes or offset is None else start + (-offset) % _DAY
        after = _buckets(day if turn is None or offset is None else (turn + offset).toordinal())
        self[day] = found = (turn, _buckets(after[0] - 1), after)
        return found


@lru_cache(maxsize=64)
def _utc_days(zone: ZoneInfo) -> _UtcDays:
    return _UtcDays(zone)


def _in_utc(key: Hashable, taken_at: datetime) -> datetime:
    if taken_at.tzinfo is None:
        raise CopyTimeError(f"Copy {key} has a time without a zone, {taken_at}; give an aware time.")
    return taken_at.astimezone(UTC)
