"""How long a way takes at which time of day: by great circle and speeds, or by the firm's own matrix.

Minutes are those at free flow; the pace of the hour (1 is free flow, 0.7 slow) is driven through as the clock goes, so
that who leaves later never arrives sooner (Ichoua, Gendreau, Potvin 2003; recalled).
"""

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from functools import lru_cache
from math import ceil
from typing import Protocol
from zoneinfo import ZoneInfo

from fleet.planning.reach import Position, TravelProfile, great_circle_km, travel_minutes
from fleet.planning.visits.span import VisitError

STEADY = ((time(0), 1.0),)
USUAL = TravelProfile()


@dataclass(frozen=True, slots=True)
class Hours:
    """The pace from each time of day on, where the clock of a zone shows it; the first begins at midnight."""

    zone: ZoneInfo
    paces: tuple[tuple[time, float], ...] = STEADY

    def __post_init__(self) -> None:
        times = [since for since, _ in self.paces]
        if not times or times[0] != time(0) or times != sorted(set(times)):
            raise VisitError("The paces of a day must begin at 00:00 and follow each other, each time once.")
        for since, pace in self.paces:
            if not 0.05 <= pace <= 1:
                raise VisitError(f"The pace from {since:%H:%M} on is {pace}; it must lie between 0.05 and 1.")

    @property
    def steady(self) -> bool:
        """Whether the hour makes no difference at all."""
        return all(pace == 1 for _, pace in self.paces)

    def arrival(self, leaving: datetime, minutes: float) -> datetime:
        """When someone is there, in UTC, who leaves at a moment, for minutes at free flow."""
        now = leaving.astimezone(UTC)
        if self.steady:
            return now + timedelta(minutes=minutes)
        while True:
            pace, until = self._pace_at(now)
            span = (until - now).total_seconds() / 60
            if minutes <= span * pace:
                return now + timedelta(minutes=minutes / pace)
            minutes -= span * pace
            now = until

    def fastest(self, begin: datetime, end: datetime) -> float:
        """The best pace of any minute between two instants."""
        now, best = begin.astimezone(UTC), 0.0
        while now < end and best < 1:
            pace, now = self._pace_at(now)
            best = max(best, pace)
        return best or 1.0

    def _pace_at(self, now: datetime) -> tuple[float, datetime]:
        local = now.astimezone(self.zone)
        place = bisect_right([since for since, _ in self.paces], local.time()) - 1
        ahead = (
            datetime.combine(local.date(), self.paces[place + 1][0], self.zone)
            if place + 1 < len(self.paces)
            else datetime.combine(local.date() + timedelta(days=1), time(0), self.zone)
        )
        until = ahead.astimezone(UTC)
        # Where the clock is set back the next time of day may already lie behind: look again in an hour.
        return self.paces[place][1], until if until > now else now + timedelta(hours=1)


class Travel(Protocol):
    """Minutes at free flow between two places that have names, and the pace of the hours."""

    @property
    def hours(self) -> Hours: ...

    def minutes(self, start: str, start_at: Position, end: str, end_at: Position) -> float:
        """Free-flow minutes from door to door; raises VisitError where the way is not known."""
        ...


@dataclass(frozen=True, slots=True)
class ByRoad:
    """Great circle by the haversine formula, times the road's detour, at the profile's likely speeds."""

    hours: Hours
    profile: TravelProfile = USUAL

    def minutes(self, start: str, start_at: Position, end: str, end_at: Position) -> float:
        """The likely minutes of the profile; none within one home."""
        return 0.0 if start == end else travel_minutes(great_circle_km(start_at, end_at), self.profile).likely


Arrive = Callable[[int, int], int]


def in_minutes(hours: Hours, epoch: datetime) -> Arrive:
    """Arrival in whole minutes, rounded up, for a leaving minute from the epoch on and minutes at free flow."""
    if hours.steady:
        return lambda leaving, minutes: leaving + minutes

    # The same ways are asked for again and again while orders are tried.
    @lru_cache(maxsize=500_000)
    def arrive(leaving: int, minutes: int) -> int:
        there = hours.arrival(epoch + timedelta(minutes=leaving), minutes)
        # A thousandth of a second less, so that a float's last digit costs no minute.
        return ceil(((there - epoch).total_seconds() - 0.001) / 60)

    return arrive
