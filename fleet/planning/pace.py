"""How fast work goes, and when it will be done at that pace."""

from dataclasses import dataclass
from datetime import datetime, timedelta


@dataclass(frozen=True, slots=True)
class Pace:
    """left: how much is still to do. A rate of None, in pieces a second, means that it cannot be said yet."""

    left: int
    per_second: float | None
    ends_at: datetime | None


def pace(done: int, total: int, began: datetime, now: datetime) -> Pace:
    """The pace so far and the end that it leads to. More than total may be done, where things were added."""
    left = max(total - done, 0)
    seconds = (now - began).total_seconds()
    if done <= 0 or seconds <= 0:
        return Pace(left, None, None)
    rate = done / seconds
    return Pace(left, rate, now + timedelta(seconds=left / rate))
