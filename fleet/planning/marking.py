"""Mark, wait, erase: the two steps by which copies that nothing holds go (trade rule C11)."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Generic

from fleet.planning.keeping import Copy, K, KeepRule


@dataclass(frozen=True, slots=True)
class Marks(Generic[K]):
    """What a round does about copies that nothing holds: mark, take the mark off, erase."""

    mark: tuple[K, ...]
    unmark: tuple[K, ...]
    erase: tuple[K, ...]


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
    for copy in copies:
        marked = marked_at.get(copy.key)
        if copy.key in kept:
            sound_is_kept = sound_is_kept or copy.sound
            if marked is not None:
                unmark.append(copy.key)
        elif marked is None:
            mark.append(copy.key)
        elif last_round_complete and now >= goes_at(marked, rule.grace_days):
            due.append(copy)
    erase = tuple(copy.key for copy in due if sound_is_kept or not copy.sound)
    return Marks(tuple(mark), tuple(unmark), erase)


def goes_at(marked: datetime, grace_days: int) -> datetime:
    """The moment from which a marked copy may be erased; the first whole round after it does so."""
    return marked + timedelta(days=grace_days)
