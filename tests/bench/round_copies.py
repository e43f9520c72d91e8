"""The copies that a home has one morning after years of nights: which the keep rule has left, and their documents."""

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from fleet.planning import keeping
from fleet.snapshots import packing
from fleet.verbs.repack import SERVES
from tests.fleet.snapshots import making

RULE = keeping.KeepRule()
YEARS, NIGHTS = 5, 9
NODES = 30
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Held:
    """One copy of the pattern that every home of a zone has: when it was taken, and what the last round said of it."""

    taken_at: datetime
    holds: tuple[str, ...]
    doomed_at: datetime | None


def pattern(zone: str, now: datetime) -> list[Held]:
    """The copies of a mesh that was copied every night for years, newest first; no round has seen the newest yet."""
    there = ZoneInfo(zone)
    today = now.astimezone(there).date()
    nights = [datetime.combine(today - n * DAY, time(1), there).astimezone(UTC) for n in range(365 * YEARS)]
    marked: dict[datetime, datetime] = {}
    holds: dict[datetime, tuple[str, ...]] = {}
    for ago in range(NIGHTS, 0, -1):
        seen = nights[ago:]
        before, holds = holds, keeping.keep([_copy(taken) for taken in seen], RULE, there)
        marked |= {taken: now - ago * DAY for taken in before if taken not in holds}
    # What was marked longer ago, rounds before have erased; the oldest of these marks this round acts on.
    marked = {taken: at for taken, at in marked.items() if now - at <= (RULE.grace_days + 0.5) * DAY}
    kept = [Held(nights[0], (), None), *(Held(taken, why, None) for taken, why in holds.items())]
    return sorted([*kept, *(Held(taken, (), at) for taken, at in marked.items())], key=_taken, reverse=True)


def _copy(taken: datetime) -> keeping.Copy[datetime]:
    return keeping.Copy(taken, taken, sound=True, seen_live=True, key_epoch="0 (EPOCH)")


def _taken(held: Held) -> datetime:
    return held.taken_at


class Documents:
    """Days of one quiet mesh's documents, each packed once: only sealing binds them to a row."""

    def __init__(self, count: int) -> None:
        day = making.document(seed=1, nodes=NODES)
        bodies = [making.octets(day)]
        for number in range(1, count):
            day = making.next_day(day, number, 0.25)
            bodies.append(making.octets(day))
        self.newest_first = bodies[::-1]
        self._packed: dict[tuple[int, int | None], bytes] = {}

    def packed(self, number: int, base: int | None) -> bytes:
        """The document of that place, newest first, packed alone or against another; each pair is packed once."""
        if (number, base) not in self._packed:
            against = None if base is None else self.newest_first[base]
            self._packed[number, base] = packing.pack(self.newest_first[number], against)
        return self._packed[number, base]


def bases_of(count: int, serves: int) -> list[int]:
    """The places of the copies that are bases, newest first: that one serves so many, older ones as many as they may.

    The newest two copies are not packed against any.
    """
    return [2, *range(2 + serves, count, SERVES)] if serves else list(range(2, count, SERVES))
