"""A stretch of time between two aware instants, and whole minutes counted from a plan's first midnight."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import ceil, floor

MINUTE = timedelta(minutes=1)


class VisitError(ValueError):
    """A fact of a technician, a visit or a way that cannot be right."""


def aware(moment: datetime, name: str) -> datetime:
    """The moment in UTC, if it knows its offset. Raises VisitError.

    Within one zone Python reckons by the clock on the wall, which an hour may show twice: so all is reckoned in UTC.
    """
    if moment.utcoffset() is None:
        raise VisitError(f"The {name} is {moment.isoformat()}; it must say its offset from UTC.")
    return moment.astimezone(UTC)


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """From begin to end, end after begin; given aware, kept in UTC."""

    begin: datetime
    end: datetime

    def __post_init__(self) -> None:
        object.__setattr__(self, "begin", aware(self.begin, "begin of a window"))
        object.__setattr__(self, "end", aware(self.end, "end of a window"))
        if self.end <= self.begin:
            raise VisitError(
                f"A window ends at {self.end.isoformat()}; it must end after {self.begin.isoformat()}."
            )


@dataclass(frozen=True, slots=True)
class Minutes:
    """Instants as whole minutes from an epoch: a window's begin is rounded up, its end down."""

    epoch: datetime

    @classmethod
    def before(cls, first: datetime) -> "Minutes":
        """Counted from the midnight UTC before an instant."""
        return cls(first.astimezone(UTC).replace(hour=0, minute=0, second=0, microsecond=0))

    def up(self, moment: datetime) -> int:
        """The first whole minute at or after a moment."""
        return ceil((moment - self.epoch) / MINUTE)

    def down(self, moment: datetime) -> int:
        """The last whole minute at or before a moment."""
        return floor((moment - self.epoch) / MINUTE)

    def moment(self, minute: int) -> datetime:
        """The instant of a whole minute, in UTC."""
        return self.epoch + minute * MINUTE
