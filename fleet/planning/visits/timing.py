"""A day's clock: who leaves when, drives, waits, works, pauses, and is back; exact for a given order of jobs.

The rules of driving are fixed, so that an order has one timing: leave the base as late as the first job's beginning
allows, then drive on at once; begin as soon as the home is open. A pause is taken before driving on when work would
else go on for longer than allowed, and a wait as long as a pause is one.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from fleet.planning.visits.case import Case, Job
from fleet.planning.visits.shifts import Shift


class Beat(NamedTuple):
    """One job in a day, in minutes: left the place before (after a pause), was there, began, was done."""

    job: int
    pause: int
    leave: int
    arrive: int
    begin: int
    end: int


class State(NamedTuple):
    """A day so far: where, free from when, rested when, what it weighs, and the beats."""

    place: int
    now: int
    rested: int
    travel: int
    weight: int
    beats: tuple[Beat, ...]


class Timed(NamedTuple):
    """A whole day: left the base, was back, minutes of travel, the pause on the way home, and all its weight."""

    leave: int
    back: int
    travel: int
    last_pause: int
    weight: int
    beats: tuple[Beat, ...]


def start_of(shift: Shift) -> State:
    """A day on which nobody has left yet."""
    return State(shift.base, shift.begin, shift.begin, 0, 0, ())


def step(case: Case, number: int, state: State, name: int) -> State | None:
    """Go on to a job; None where a rule would break."""
    job, shift = case.jobs[name], case.shifts[number]
    if number not in job.shifts:
        return None
    minutes = case.legs[state.place][job.place]
    leave, pause, rested = state.now, 0, state.rested
    arrive = case.arrive(leave, minutes)
    begin = opening(job, arrive)
    if begin is None:
        return None
    if not state.beats:
        leave = _latest(case, shift.begin, minutes, begin)
        arrive, rested = case.arrive(leave, minutes), leave
    elif begin - arrive >= shift.pause:
        rested = begin
    elif begin + job.minutes - rested > shift.pause_within:
        pause = shift.pause
        rested = leave = state.now + pause
        arrive = case.arrive(leave, minutes)
        begin = opening(job, arrive)
        if begin is None:
            return None
        if begin - arrive >= shift.pause:
            rested = begin
    end = begin + job.minutes
    if end > shift.until:
        return None
    beat = Beat(name, pause, leave, arrive, begin, end)
    weight = (
        state.weight + (arrive - leave) * case.weights.travel_minute + weight_at(case, job, begin, number)
    )
    return State(job.place, end, rested, state.travel + arrive - leave, weight, (*state.beats, beat))


def close(case: Case, number: int, state: State) -> Timed | None:
    """Drive back to the base; None where that ends too late. A day without a job weighs nothing."""
    shift = case.shifts[number]
    if not state.beats:
        return Timed(shift.begin, shift.begin, 0, 0, 0, ())
    minutes = case.legs[state.place][shift.base]
    leave, pause = state.now, 0
    if case.arrive(leave, minutes) - state.rested > shift.pause_within:
        pause = shift.pause
        leave += pause
    back = case.arrive(leave, minutes)
    if back > shift.until:
        return None
    weight = state.weight + (back - leave) * case.weights.travel_minute
    weight += max(0, back - shift.end) * case.weights.overtime_minute
    return Timed(state.beats[0].leave, back, state.travel + back - leave, pause, weight, state.beats)


def timed(case: Case, number: int, order: Sequence[int]) -> Timed | None:
    """The whole day of a shift for jobs in an order; None where a rule would break."""
    state: State | None = start_of(case.shifts[number])
    for name in order:
        state = step(case, number, state, name) if state else None
        if state is None:
            return None
    return close(case, number, state) if state else None


def opening(job: Job, minute: int) -> int | None:
    """When a job may begin for someone who is there from a minute on; None if never."""
    for first, last in job.openings:
        if minute <= last:
            return max(first, minute)
    return None


def weight_at(case: Case, job: Job, begin: int, number: int) -> int:
    """What it weighs that a job begins late, and that a stranger comes."""
    weight = case.weights.other_technician if number in job.strange else 0
    return weight + late_weight(case, job, begin)


def late_weight(case: Case, job: Job, begin: int) -> int:
    """What it weighs that a job begins after it was due."""
    if job.due is None or begin <= job.due:
        return 0
    return min(case.weights.late_at_most, -(-(begin - job.due) * case.weights.late_hour // 60))


def left_weight(case: Case, names: Iterable[int]) -> int:
    """What it weighs to leave jobs out; a visit of two counts once."""
    return sum(
        job.left_out for name in names if (job := case.jobs[name]).partner is None or job.partner > name
    )


def _latest(case: Case, first: int, minutes: int, by: int) -> int:
    """The last minute, from the first on, to leave in and be there by a minute; the first is in time."""
    low, high = first, max(first, by - minutes)
    if case.arrive(high, minutes) <= by:
        return high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if case.arrive(middle, minutes) <= by else (low, middle)
    return low
