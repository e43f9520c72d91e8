"""A plan read back as the orders of a case, so that it can be changed."""

from dataclasses import dataclass

from fleet.planning.visits.case import Appointment, Case, make_case
from fleet.planning.visits.pairing import Days
from fleet.planning.visits.plan import Day, Plan
from fleet.planning.visits.request import Request
from fleet.planning.visits.span import VisitError


@dataclass(frozen=True, slots=True)
class Worked:
    """The case of a plan, the appointments of its visits of two, and the visits of each shift in order."""

    case: Case
    together: dict[int, Appointment]
    days: Days


def read_back(request: Request, plan: Plan) -> Worked:
    """Raises VisitError for a plan that the request no longer fits: an unknown visit, or a day that is no shift."""
    case = make_case(request)
    numbers = {visit.code: number for number, visit in enumerate(request.visits)}
    days: Days = [[] for _ in case.shifts]
    pairs: dict[int, dict[bool, tuple[int, int]]] = {}
    for day in plan.days:
        shift = shift_of(request, case, day)
        for stop in day.stops:
            number = numbers.get(stop.visit)
            if number is None:
                raise VisitError(
                    f"The plan holds visit {stop.visit}, which is not asked for any more; plan anew."
                )
            days[shift].append(number)
            if stop.with_whom is not None:
                pairs.setdefault(number, {})[stop.lead] = (shift, case.clock.up(stop.begin))
    together = {
        number: Appointment(both[True][0], both[False][0], both[True][1])
        for number, both in pairs.items()
        if len(both) == 2
    }
    return Worked(make_case(request, together), together, days)


def shift_of(request: Request, case: Case, day: Day) -> int:
    """The shift that a day of a plan lies in."""
    leave = case.clock.up(day.leave)
    for number, shift in enumerate(case.shifts):
        if request.technicians[shift.owner].code == day.technician and shift.begin <= leave <= shift.until:
            return number
    raise VisitError(f"{day.technician} has no working window at {day.leave.isoformat()}; plan anew.")
