"""Orders of jobs told as a plan."""

from collections.abc import Mapping, Sequence
from datetime import timedelta

from fleet.planning.visits.case import Case, Orders
from fleet.planning.visits.plan import Day, LeftOut, Plan, Stop
from fleet.planning.visits.request import Request
from fleet.planning.visits.rules import Obstacle, forecast_unknown
from fleet.planning.visits.span import MINUTE, VisitError
from fleet.planning.visits.timing import Beat, Timed, left_weight, timed


def told(
    request: Request, case: Case, orders: Orders, why: Mapping[int, tuple[Obstacle, ...]] | None = None
) -> Plan:
    """The plan of possible days; why are the obstacles of visits left out, by number. Raises VisitError for others."""
    days = [(shift, _possible(request, case, shift, order)) for shift, order in enumerate(orders) if order]
    placed = {name for order in orders for name in order}
    missing = [name for name in range(len(case.jobs)) if name not in placed]
    left = sorted({case.jobs[name].visit for name in missing})
    weight = sum(day.weight for _, day in days) + left_weight(case, missing)
    where = {beat.job: shift for shift, day in days for beat in day.beats}
    plan_days = sorted(
        (_day(request, case, shift, day, where) for shift, day in days),
        key=lambda day: (day.technician, day.leave),
    )
    return Plan(
        tuple(plan_days),
        tuple(LeftOut(request.visits[number].code, (why or {}).get(number, ())) for number in left),
        weight,
        cautions=tuple(_cautions(request, plan_days)),
    )


def _possible(request: Request, case: Case, shift: int, order: Sequence[int]) -> Timed:
    day = timed(case, shift, order)
    if day is None:
        code = request.technicians[case.shifts[shift].owner].code
        begin = case.clock.moment(case.shifts[shift].begin)
        raise VisitError(f"The day of {code} from {begin:%Y-%m-%d %H:%M} UTC on breaks a rule; plan anew.")
    return day


def _day(request: Request, case: Case, shift: int, day: Timed, where: Mapping[int, int]) -> Day:
    clock, row = case.clock, case.shifts[shift]
    return Day(
        request.technicians[row.owner].code,
        clock.moment(day.leave),
        clock.moment(day.back),
        day.last_pause * MINUTE,
        max(0, day.back - row.end) * MINUTE,
        tuple(_stop(request, case, beat, where) for beat in day.beats),
    )


def _stop(request: Request, case: Case, beat: Beat, where: Mapping[int, int]) -> Stop:
    clock, job = case.clock, case.jobs[beat.job]
    visit = request.visits[job.visit]
    other = None
    if job.partner is not None and job.partner in where:
        other = request.technicians[case.shifts[where[job.partner]].owner].code
    begin = clock.moment(beat.begin)
    return Stop(
        visit.code,
        visit.home,
        beat.pause * MINUTE,
        clock.moment(beat.leave),
        clock.moment(beat.arrive),
        begin,
        clock.moment(beat.end),
        max(timedelta(), begin - visit.due) if visit.due else timedelta(),
        other,
        job.partner is None or job.partner > beat.job,
    )


def _cautions(request: Request, days: list[Day]) -> list[str]:
    found = []
    for day in days:
        for stop in day.stops:
            visit = request.visit(stop.visit)
            date = stop.begin.astimezone(visit.zone).date()
            if stop.lead and forecast_unknown(visit, date):
                found.append(
                    f"No forecast is known yet for {visit.home} on {date}: look again before driving."
                )
    return found
