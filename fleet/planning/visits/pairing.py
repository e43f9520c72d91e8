"""Visits that take two people: when, and who of those who may.

The plan is first made as if one could do it alone. Around that answer each such visit gets the minute and the two
shifts that add least, is fixed there as two jobs, and all the rest is planned anew around these. So two people are
always there in the same minute; the price is that the minute is no longer the solver's to move, and the plan says how
much more it weighs than the answer for one person.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from fleet.planning.visits.case import Appointment, Case, Job, Orders, helpers, make_case
from fleet.planning.visits.mending import Table, best_place
from fleet.planning.visits.request import Request

GRID_MINUTES = 15

Days = list[list[int]]
"""The numbers of visits, by shift."""
Barred = frozenset[tuple[int, int, int]]


def in_vain(alone: Case, case: Case, orders: Orders) -> Barred:
    """The appointments of a case that are not kept, or take a shift that a visit left out might have had."""
    placed = {name for order in orders for name in order}
    wanted = {
        shift
        for name, job in enumerate(case.jobs)
        if name not in placed
        for shift in alone.jobs[job.visit].shifts
    }
    both = (
        (job.visit, min(job.shifts), min(case.jobs[job.partner].shifts))
        for name, job in enumerate(case.jobs)
        if job.partner is not None and name < job.partner
    )
    return frozenset(one for one in both if wanted & {one[1], one[2]})


def pair(
    request: Request, alone: Case, case: Case, orders: Orders, barred: Barred = frozenset()
) -> tuple[Case, Orders]:
    """The case with appointments for the visits of two around the orders of a case, and orders that hold them.

    alone is the case in which no visit takes two. A visit that finds no place has no appointment.
    barred are visits with two shifts that led to nothing before.
    """
    twos = [number for number, visit in enumerate(request.visits) if visit.people == 2]
    days = [
        [case.jobs[name].visit for name in order if case.jobs[name].visit not in twos] for order in orders
    ]
    found: dict[int, Appointment] = {}
    for number in sorted(twos, key=lambda number: (len(alone.jobs[number].shifts), number)):
        fixed = make_case(request, found)
        appointment = best_appointment(request, alone, fixed, number, days, barred)
        if appointment is None:
            # Not beside what is there: then first, and the rest must find other places.
            kept = [[other for other in day if other in found] for day in days]
            appointment = best_appointment(request, alone, fixed, number, kept, barred)
            days = kept if appointment is not None else days
        if appointment is not None:
            found[number] = appointment
            for shift in (appointment.lead, appointment.helper):
                _put(request, found, shift, number, days)
    fixed = make_case(request, found)
    return fixed, in_jobs(fixed, days)


def in_jobs(case: Case, days: Days) -> Orders:
    """Days of visits as the jobs of a case: of a visit's two jobs each day takes its own."""
    by_visit: dict[int, list[int]] = {}
    for name, job in enumerate(case.jobs):
        by_visit.setdefault(job.visit, []).append(name)
    return tuple(
        tuple(_own(case, by_visit[number], shift) for number in day) for shift, day in enumerate(days)
    )


def _own(case: Case, names: list[int], shift: int) -> int:
    return next((name for name in names if shift in case.jobs[name].shifts), names[0])


def led(case: Case, orders: Orders) -> Days:
    """Days as visits, without the second persons."""
    jobs = case.jobs
    return [
        [jobs[name].visit for name in order if (partner := jobs[name].partner) is None or name < partner]
        for order in orders
    ]


def best_appointment(
    request: Request, alone: Case, fixed: Case, number: int, days: Days, barred: Barred = frozenset()
) -> Appointment | None:
    """When and in which two shifts a visit of two adds least to days of visits; None where it fits nowhere."""
    lead, seconds = alone.jobs[number], helpers(request, alone, number)
    able = []
    for at in _grid(alone, lead):
        leads = _added(fixed, lead, at, lead.shifts, days)
        others = _added(
            fixed,
            replace(lead, due=None, parts=(0,) * len(lead.parts), strange=frozenset()),
            at,
            seconds,
            days,
        )
        able += [
            (one + two, at, first, second)
            for first, one in leads.items()
            for second, two in others.items()
            if alone.shifts[first].owner != alone.shifts[second].owner
            and (number, first, second) not in barred
        ]
    if not able:
        return None
    _, at, first, second = min(able)
    return Appointment(first, second, at)


def _added(case: Case, job: Job, at: int, shifts: frozenset[int], days: Days) -> dict[int, int]:
    """What a job at a minute adds to each shift that can hold it."""
    there = frozenset(
        shift for shift in shifts if case.shifts[shift].begin <= at <= case.shifts[shift].until - job.minutes
    )
    if not there:
        return {}
    trial = replace(case, jobs=(*case.jobs, replace(job, openings=((at, at),), shifts=there)))
    table = Table(trial, list(in_jobs(case, days)))
    name = len(case.jobs)
    places = {shift: best_place(table, name, shift) for shift in there}
    return {shift: place[0] for shift, place in places.items() if place is not None}


def _put(request: Request, found: dict[int, Appointment], shift: int, number: int, days: Days) -> None:
    case = make_case(request, found)
    name = next(name for name, job in enumerate(case.jobs) if job.visit == number and shift in job.shifts)
    place = best_place(Table(case, list(in_jobs(case, days))), name, shift)
    if place is not None:
        days[shift] = [case.jobs[other].visit for other in place[1]]


def _grid(case: Case, job: Job) -> Iterator[int]:
    """Minutes to try: the ends of each opening, and every quarter of an hour while someone works."""
    worked: Sequence[tuple[int, int]] = [
        (case.shifts[shift].begin, case.shifts[shift].until) for shift in job.shifts
    ]
    for first, last in job.openings:
        tries = {first, last, *range(-(-first // GRID_MINUTES) * GRID_MINUTES, last + 1, GRID_MINUTES)}
        yield from sorted(at for at in tries if any(begin <= at <= until for begin, until in worked))
