"""In which state a mesh or a home stood on each day, from the moments at which it changed.

A day counts by the worst state it saw. A day on which nobody looked, and a day before the first look, has no state:
it is never taken to have been like its neighbours.
"""

from collections import Counter
from collections.abc import Container, Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta, tzinfo
from typing import NamedTuple

from fleet.planning.readiness import State

_DAY = timedelta(days=1)


class Turn(NamedTuple):
    """At this moment a mesh came into this state, or was first found in it."""

    at: datetime
    state: State


def days_of(first: date, last: date) -> Iterable[date]:
    """Every day from the first to the last, both included."""
    return (first + timedelta(days=step) for step in range((last - first).days + 1))


def course(
    turns: Iterable[Turn], first: date, last: date, zone: tzinfo, looked_on: Container[date]
) -> dict[date, State | None]:
    """The state of one mesh on each day of this zone; turns in any order, those before the first day too.

    looked_on: the days on which the book was judged. A day of a turn is one, whether it is named there or not.
    """
    by_day: dict[date, list[State]] = {}
    held: State | None = None
    for turn in sorted(turns):
        day = turn.at.astimezone(zone).date()
        if day < first:
            held = turn.state
        elif day <= last:
            by_day.setdefault(day, []).append(turn.state)
    found: dict[date, State | None] = {}
    for day in days_of(first, last):
        turned = by_day.get(day, [])
        seen = [*([held] if held else []), *turned]
        found[day] = worst(seen) if turned or day in looked_on else None
        held = seen[-1] if seen else None
    return found


def worst(states: Iterable[State | None]) -> State | None:
    """The worst of these; None where none is known."""
    known = [state for state in states if state is not None]
    return min(known, key=lambda state: state.severity, default=None)


def together(courses: Sequence[Mapping[date, State | None]]) -> dict[date, State | None]:
    """The state of a home on each day: that of its worst mesh."""
    return {day: worst(each[day] for each in courses) for day in courses[0]} if courses else {}


def days_in(course_: Mapping[date, State | None]) -> Counter[State | None]:
    """How many days were spent in each state; under None those on which nobody looked."""
    return Counter(course_.values())


def state_at(turns: Iterable[Turn], moment: datetime) -> State | None:
    """The state that held at a moment; None before the first turn."""
    before = [turn for turn in turns if turn.at <= moment]
    return max(before).state if before else None
