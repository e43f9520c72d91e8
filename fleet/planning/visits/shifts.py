"""The days of technicians as minutes, with the rest between them kept by how they are cut."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from fleet.planning.visits.request import Technician
from fleet.planning.visits.span import MINUTE, Minutes, VisitError


@dataclass(frozen=True, slots=True)
class Shift:
    """One day of one technician in minutes: leave from begin on, overtime from end on, back by until.

    owner is the technician's number, base that of the place where the day begins and ends. Never more than
    pause_within minutes of work without a pause of so many minutes.
    """

    owner: int
    base: int
    begin: int
    end: int
    until: int
    pause: int
    pause_within: int


def shifts_of(technician: Technician, number: int, clock: Minutes) -> list[Shift]:
    """The days of a technician, whose base is the place of the same number.

    A day begins no sooner than the rest after the end of the one before, and overtime ends in time for the rest before
    the next: so each day may be planned alone. Raises VisitError where days overlap.
    """
    return list(_cut(technician, number, clock))


def _cut(technician: Technician, number: int, clock: Minutes) -> Iterator[Shift]:
    rest = technician.rest
    between, longest = -(-rest.between_days // MINUTE), rest.longest_day // MINUTE
    days = sorted(technician.days)
    for day, following in pairwise(days):
        if following.begin < day.end:
            raise VisitError(
                f"Two days of {technician.code} overlap: {following.begin.isoformat()} is before {day.end.isoformat()}."
            )
    begins = [clock.up(day.begin) for day in days]
    ends = [clock.down(day.end) for day in days]
    for place in range(1, len(days)):
        begins[place] = max(begins[place], ends[place - 1] + between)
    for place, (begin, end) in enumerate(zip(begins, ends, strict=True)):
        until = min(end + rest.overtime // MINUTE, begin + longest)
        if place + 1 < len(days):
            until = min(until, begins[place + 1] - between)
        if begin < min(end, until):
            yield Shift(
                number,
                number,
                begin,
                min(end, until),
                until,
                -(-rest.pause // MINUTE),
                rest.pause_within // MINUTE,
            )
