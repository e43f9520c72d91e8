"""A plan as people read it: days with their stops, what is left out and why, and what it costs."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet.planning.visits.rules import Obstacle
from fleet.planning.visits.span import MINUTE


@dataclass(frozen=True, slots=True)
class Stop:
    """One technician at one home: left the place before, was there, waited, began, was done.

    A pause lies before leaving. with_whom is the second person's code at a visit of two; lead is who carries it.
    """

    visit: str
    home: str
    pause: timedelta
    leave: datetime
    arrive: datetime
    begin: datetime
    end: datetime
    late: timedelta
    with_whom: str | None = None
    lead: bool = True

    @property
    def wait(self) -> timedelta:
        """From arrival to the beginning of work."""
        return self.begin - self.arrive


@dataclass(frozen=True, slots=True)
class Day:
    """One day of one technician, from leaving the base to being back; last_pause lies before the way back."""

    technician: str
    leave: datetime
    back: datetime
    last_pause: timedelta
    overtime: timedelta
    stops: tuple[Stop, ...]

    @property
    def travel(self) -> timedelta:
        """All ways, that back to the base included."""
        ways = sum((stop.arrive - stop.leave for stop in self.stops), timedelta())
        return ways + (self.back - self.stops[-1].end - self.last_pause if self.stops else timedelta())


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A visit without a place in the plan, and each hard rule that stands against it, with whom."""

    visit: str
    obstacles: tuple[Obstacle, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """Days that have stops, by technician and time, and visits left out.

    bound_minutes is a travel time that no plan with the same stops can go below (None until it is worked out);
    together_weight what it costs, in tenths of a minute's drive, that two must be at one home in the same minute.
    """

    days: tuple[Day, ...]
    left_out: tuple[LeftOut, ...]
    weight: int
    exact: bool = False
    bound_minutes: float | None = None
    together_weight: int = 0
    cautions: tuple[str, ...] = ()

    @property
    def travel_minutes(self) -> int:
        """Minutes on the road, all technicians together."""
        return sum((day.travel for day in self.days), timedelta()) // MINUTE

    @property
    def overtime_minutes(self) -> int:
        """Minutes back after the end of a working window."""
        return sum((day.overtime for day in self.days), timedelta()) // MINUTE

    @property
    def late_minutes(self) -> int:
        """Minutes begun after visits were due; a visit of two counts once."""
        return sum((stop.late for _, stop in self.stops if stop.lead), timedelta()) // MINUTE

    @property
    def gap(self) -> float | None:
        """By which share the travel is over the bound; None without one, or where there is nothing to drive."""
        return None if not self.bound_minutes else self.travel_minutes / self.bound_minutes - 1

    @property
    def stops(self) -> list[tuple[Day, Stop]]:
        """Every stop with its day."""
        return [(day, stop) for day in self.days for stop in day.stops]
