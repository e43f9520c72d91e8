"""Drills, updates and swaps that are due at one home become one stop (trade row P10)."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from fleet.planning.estimating import ThreePoints
from fleet.planning.visits.durations import Walk
from fleet.planning.visits.request import Conditions, Visit
from fleet.planning.visits.span import Span, VisitError, aware


class TaskKind(StrEnum):
    """What is to be done at a home."""

    SWAP = "swap"
    UPDATE = "update"
    DRILL = "drill"
    SURVEY = "survey"


@dataclass(frozen=True, slots=True)
class Task:
    """One thing that is due at a home, from a moment on and by another.

    visit is the stop it would be alone: its home, place, zone, windows, needs and conditions; its minutes are the work
    without the walk, which is gone once however many tasks there are.
    """

    kind: TaskKind
    visit: Visit
    walk: Walk
    not_before: datetime
    due: datetime

    def __post_init__(self) -> None:
        aware(self.not_before, f"first moment of task {self.visit.code}")
        if aware(self.due, f"due time of task {self.visit.code}") <= self.not_before:
            raise VisitError(
                f"The task {self.visit.code} is due at {self.due}; that must be after {self.not_before}."
            )


def join_tasks(tasks: Iterable[Task]) -> list[Visit]:
    """The fewest stops for each home so that every task is done between its first moment and its due time.

    The task that is due first takes along all that may be done by then and share a window with it, are meant for the
    same people, and are not pinned elsewhere. The stop takes the work of all and the longest walk once; it needs what
    any of them needs, holds the conditions of all, and is due when the first of them is. Its code is the first task's.
    """
    by_home: dict[str, list[Task]] = {}
    for task in tasks:
        by_home.setdefault(task.visit.home, []).append(task)
    visits = []
    for home in sorted(by_home):
        waiting = sorted(by_home[home], key=lambda task: (task.due, task.visit.code))
        while waiting:
            stop, waiting = _one_stop(waiting)
            visits.append(_joined(stop))
    return visits


def _one_stop(waiting: list[Task]) -> tuple[list[Task], list[Task]]:
    stop, later = waiting[:1], list[Task]()
    for task in waiting[1:]:
        together = [*stop, task]
        (stop if _go_together(together) else later).append(task)
    return stop, later


def _go_together(tasks: list[Task]) -> bool:
    pins = {task.visit.pinned_to for task in tasks} - {None}
    times = {task.visit.pinned_at for task in tasks} - {None}
    length = timedelta(minutes=_minutes(tasks).likely)
    room = any(span.end - span.begin >= length for span in _windows(tasks))
    return len(pins) < 2 and len(times) < 2 and room


def _joined(tasks: list[Task]) -> Visit:
    visits = [task.visit for task in tasks]
    first = visits[0]
    return replace(
        first,
        windows=tuple(_windows(tasks)),
        minutes=_minutes(tasks),
        licences=frozenset().union(*(visit.licences for visit in visits)),
        skills=frozenset().union(*(visit.skills for visit in visits)),
        parts={
            family: sum(visit.parts.get(family, 0) for visit in visits)
            for family in sorted({family for visit in visits for family in visit.parts})
        },
        people=max(visit.people for visit in visits),
        helper_licences=frozenset().union(*(visit.helper_licences for visit in visits)),
        due=min(task.due for task in tasks),
        value=sum(visit.value for visit in visits),
        conditions=_conditions(visits),
        before=next((visit.before for visit in visits if visit.before), None),
        pinned_to=next((visit.pinned_to for visit in visits if visit.pinned_to), None),
        pinned_at=next((visit.pinned_at for visit in visits if visit.pinned_at), None),
        tasks=tuple(code for visit in visits for code in (visit.tasks or (visit.code,))),
    )


def _minutes(tasks: list[Task]) -> ThreePoints:
    work = tasks[0].visit.minutes
    for task in tasks[1:]:
        work += task.visit.minutes
    return work + ThreePoints.exactly(max(task.walk.minutes for task in tasks))


def _windows(tasks: list[Task]) -> list[Span]:
    """Windows that all share, from the last first moment on; after the first due time too, as late beats never."""
    found = [(window.begin, window.end) for window in tasks[0].visit.windows]
    for task in tasks[1:]:
        found = [
            (max(begin, window.begin), min(end, window.end))
            for begin, end in found
            for window in task.visit.windows
        ]
    since = max(task.not_before for task in tasks)
    due = min(task.due for task in tasks)
    length = timedelta(minutes=_minutes(tasks).likely)
    spans = [(max(begin, since), end) for begin, end in found]
    able = sorted(Span(begin, end) for begin, end in spans if end - begin >= length)
    in_time = [span for span in able if span.begin + length <= due]
    # A stop of one stays possible when it is late; several are one stop only where all of it is in time.
    return able if in_time or len(tasks) == 1 else []


def _conditions(visits: list[Visit]) -> Conditions:
    """The strictest of all; a rule stays waived only where each that holds it waives it."""
    every = [visit.conditions for visit in visits]
    limits = [one.frost_limit_c for one in every if one.frost_limit_c is not None]
    lows = {day: low for one in every for day, low in one.lowest_c.items()}
    return Conditions(
        any(one.not_before_weekend for one in every),
        next((one.country for one in every if one.country), ""),
        max(limits, default=None),
        lows,
        any(one.daylight for one in every),
        {rule: name for rule, name in every[0].waived.items() if all(rule in one.waived for one in every)},
    )
