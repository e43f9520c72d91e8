"""The time that all workers of a book go by: the database's, as the clocks of several hosts may differ."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import connection
from django.utils import timezone

Clock = Callable[[], datetime]

_NOW = {
    "postgresql": "SELECT clock_timestamp()",
    "sqlite": "SELECT strftime('%Y-%m-%dT%H:%M:%f+00:00', 'now')",
}


@dataclass(frozen=True, slots=True)
class BookTime:
    """One reading of the database's clock. off: how far this machine's own is ahead of it."""

    now: datetime
    off: timedelta
    read_at: float

    def clock(self) -> datetime:
        """The time now, carried on from the reading by a clock that nobody can set."""
        return self.now + timedelta(seconds=time.monotonic() - self.read_at)


def book_time() -> BookTime:
    """Ask the database what time it is. One statement."""
    with connection.cursor() as cursor:
        cursor.execute(_NOW[connection.vendor])
        (found,) = cursor.fetchone()
    now = datetime.fromisoformat(found) if isinstance(found, str) else found
    return BookTime(now, timezone.now() - now, time.monotonic())
