"""Pins that a mesh's own story sets: copies around every swap, and how long an old network key still counts.

Common practice (trade rule C11), no source.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from fleet.planning.keeping import Copy, K


@dataclass(frozen=True, slots=True)
class Swap:
    """One change of the head radio: when the old one was silenced and the new one came on air (not earlier).

    name says which, for people, such as "swap to A2-0111 on 2027-02-25".
    """

    name: str
    silenced: datetime
    on_air: datetime


def swap_pins(copies: Sequence[Copy[K]], swaps: Iterable[Swap]) -> dict[K, tuple[str, ...]]:
    """The last sound copy from before each swap and the first sound one after it, with the pins on each.

    copies come newest first. A copy taken at the very instant counts on both sides.
    """
    pins: dict[K, tuple[str, ...]] = {}
    for swap in swaps:
        before = (copy for copy in copies if copy.sound and copy.taken_at <= swap.silenced)
        after = (copy for copy in reversed(copies) if copy.sound and copy.taken_at >= swap.on_air)
        for word, found in (("before", next(before, None)), ("after", next(after, None))):
            if found is not None:
                pins[found.key] = (*pins.get(found.key, ()), f"{word} {swap.name}")
    return pins


def reached_everyone(since: datetime, heard: Iterable[datetime | None], left: Iterable[datetime]) -> bool:
    """Whether a new network key, first seen in a sound copy of `since`, has reached every device of a mesh.

    heard: when each device of the newest sound copy was last heard, None where it does not say; left: when a
    device was first missing from a copy. Everybody must have been heard since, and nobody may be missing since:
    a device that was left behind by the change looks just so. Without devices nobody can say, so the answer is no.
    """
    times = list(heard)
    all_heard = all(at is not None and at >= since for at in times)
    return bool(times) and all_heard and all(at < since for at in left)
