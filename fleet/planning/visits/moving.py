"""One visit moved by hand: what that costs, and which rules it breaks."""

from dataclasses import dataclass, replace
from datetime import datetime

from fleet.planning.visits.case import Appointment, Case, Job, make_case
from fleet.planning.visits.checking import Breach, breaches
from fleet.planning.visits.pairing import Days, in_jobs
from fleet.planning.visits.plan import Plan
from fleet.planning.visits.reading_back import read_back
from fleet.planning.visits.request import Request
from fleet.planning.visits.span import VisitError
from fleet.planning.visits.telling import told

NEVER = 10**7
"""A minute that no plan reaches."""
PAIR = 2


@dataclass(frozen=True, slots=True)
class Move:
    """Minutes and weight against the plan before (below 0: saved), the rules then broken, and the plan that would be.

    broken are the rules that the moved visit breaks, and of the others those that the plan did not break before.
    """

    travel_minutes: int
    late_minutes: int
    overtime_minutes: int
    weight: int
    broken: tuple[Breach, ...]
    plan: Plan


@dataclass(frozen=True, slots=True)
class Goal:
    """Whose day a visit goes to, from when on, and the second person where it takes two."""

    technician: str
    at: datetime
    helper: str | None = None


def move(request: Request, plan: Plan, visit: str, goal: Goal | None) -> Move:
    """What it costs to move a visit to a day, or to leave it out (no goal). Nothing is refused, all is named.

    It begins at the goal's time or as soon after as the ways allow; the other stops of that day keep their order, and
    begin out of their windows only where else they could not be at all. Raises VisitError where somebody does not work.
    """
    worked = read_back(request, plan)
    number = next((place for place, one in enumerate(request.visits) if one.code == visit), None)
    if number is None:
        raise VisitError(f"The visit {visit} is not in this plan; it knows {len(request.visits)} others.")
    days = [[other for other in day if other != number] for day in worked.days]
    together = {other: made for other, made in worked.together.items() if other != number}
    at = NEVER
    if goal is not None:
        at = worked.case.clock.up(goal.at)
        goals = [
            _shift_at(request, worked.case, code, goal.at) for code in (goal.technician, goal.helper) if code
        ]
        _put(request, plan, goal.at, number, goals, days)
        if len(goals) == PAIR:
            together[number] = Appointment(goals[0], goals[1], at)
    forced = _forced(make_case(request, together), number, at, days)
    moved = told(request, forced, in_jobs(forced, days))
    before = breaches(request, plan)
    return Move(
        moved.travel_minutes - plan.travel_minutes,
        moved.late_minutes - plan.late_minutes,
        moved.overtime_minutes - plan.overtime_minutes,
        moved.weight - plan.weight,
        tuple(breach for breach in breaches(request, moved) if breach.visit == visit or breach not in before),
        moved,
    )


def _put(request: Request, plan: Plan, at: datetime, number: int, goals: list[int], days: Days) -> None:
    """Before the first stop of each day that began at the time or later."""
    begins = {stop.visit: stop.begin for _, stop in plan.stops}
    for shift in goals:
        later = (place for place, other in enumerate(days[shift]) if begins[request.visits[other].code] >= at)
        days[shift].insert(next(later, len(days[shift])), number)


def _forced(case: Case, number: int, at: int, days: Days) -> Case:
    """A case in which every visit can be made where it lies, after its openings if need be, and days have no end.

    So whatever a move pushes out of its rules still has a time, and the checker says which rules those are.
    """
    where: dict[int, set[int]] = {}
    for shift, day in enumerate(days):
        for visit in day:
            where.setdefault(visit, set()).add(shift)

    def forced(job: Job) -> Job:
        there = job.shifts if job.partner is not None else frozenset(where.get(job.visit, ()))
        last = job.openings[-1][1] if job.openings else -1
        openings = ((at, NEVER),) if job.visit == number else (*job.openings, (last + 1, NEVER))
        return replace(job, shifts=there, openings=openings)

    endless = tuple(replace(shift, until=NEVER) for shift in case.shifts)
    return replace(case, jobs=tuple(forced(job) for job in case.jobs), shifts=endless)


def _shift_at(request: Request, case: Case, code: str, at: datetime) -> int:
    technician = request.technician(code)
    minute = case.clock.up(at)
    for number, shift in enumerate(case.shifts):
        if request.technicians[shift.owner].code == code and shift.begin <= minute <= shift.until:
            return number
    known = ", ".join(
        f"{day.begin.astimezone(at.tzinfo):%Y-%m-%d %H:%M} to {day.end.astimezone(at.tzinfo):%H:%M}"
        for day in technician.days
    )
    raise VisitError(
        f"{code} does not work at {at:%Y-%m-%d %H:%M}; the working windows are {known or 'none'}."
    )
