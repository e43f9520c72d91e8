"""Why a visit found no place: each hard rule that stands against it, with whom."""

from fleet.planning.visits.case import Case, Orders, helpers, make_case, starts
from fleet.planning.visits.mending import Table, best_place
from fleet.planning.visits.request import Request, Rule, Visit
from fleet.planning.visits.rules import Obstacle, allowed_spans, day_obstacles, local_dates, person_obstacles


def reasons(request: Request, case: Case, orders: Orders) -> dict[int, tuple[Obstacle, ...]]:
    """Obstacles of every visit left out, by its number; never none."""
    placed = {case.jobs[name].visit for order in orders for name in order}
    return {
        number: tuple(_reasons(request, case, orders, number))
        for number in range(len(request.visits))
        if number not in placed
    }


def _reasons(request: Request, case: Case, orders: Orders, number: int) -> list[Obstacle]:
    visit = request.visits[number]
    if not starts(visit, case.clock):
        return _no_hour(visit)
    able = make_case(request).jobs[number].shifts
    if not able:
        return _nobody(request, case, visit)
    if visit.people == 2 and not _two(request, case, number, able):
        return [Obstacle(Rule.PEOPLE, "", f"{visit.code} takes two, and no two who may come work at once.")]
    return _no_room(request, case, orders, number, able)


def _no_hour(visit: Visit) -> list[Obstacle]:
    """No window of the client's that the home's conditions leave long enough."""
    if not visit.windows:
        return [Obstacle(Rule.WINDOW, "", f"{visit.home} has named no window.")]
    dates = sorted({day for window in visit.windows for day in local_dates(window.begin, window.end, visit)})
    found = [obstacle for day in dates for obstacle in day_obstacles(visit, day)]
    if visit.conditions.daylight and not found:
        found.append(
            Obstacle(Rule.DAYLIGHT, "", f"{visit.home} has no window with daylight for all of {visit.code}.")
        )
    if visit.pinned_at is not None and allowed_spans(visit):
        at = visit.pinned_at.astimezone(visit.zone)
        found.append(
            Obstacle(Rule.PIN, "", f"{visit.code} is pinned at {at:%Y-%m-%d %H:%M}, where it may not begin.")
        )
    longest = f"{visit.code} takes {visit.minutes.likely:g} minutes"
    return found or [Obstacle(Rule.WINDOW, "", f"{longest}; no window of {visit.home} is that long.")]


def _nobody(request: Request, case: Case, visit: Visit) -> list[Obstacle]:
    """Each technician and what stands against them: a rule, or that they do not work when the home is open."""
    found: list[Obstacle] = []
    for number, technician in enumerate(request.technicians):
        days = sorted(
            {
                day
                for shift in case.shifts
                if shift.owner == number
                for day in local_dates(case.clock.moment(shift.begin), case.clock.moment(shift.until), visit)
            }
        )
        because = f"{technician.called} does not work while {visit.home} is open."
        found += person_obstacles(visit, technician, days) or [Obstacle(Rule.HOURS, technician.code, because)]
    return found or [Obstacle(Rule.PEOPLE, "", "There is no technician in this plan.")]


def _two(request: Request, case: Case, number: int, able: frozenset[int]) -> bool:
    seconds = helpers(request, case, number)
    return any(
        case.shifts[one].owner != case.shifts[two].owner
        and case.shifts[one].begin < case.shifts[two].until
        and case.shifts[two].begin < case.shifts[one].until
        for one in able
        for two in seconds
    )


def _no_room(
    request: Request, case: Case, orders: Orders, number: int, able: frozenset[int]
) -> list[Obstacle]:
    """Those who may come have no room beside their other visits, or no part left for it."""
    table, visit = Table(case, list(orders)), request.visits[number]
    name = next(name for name, job in enumerate(case.jobs) if job.visit == number)
    near = _near_enough(case, name, able) if visit.people == 1 else None
    found: dict[str, Obstacle] = {}
    for shift in sorted(able):
        owner = case.shifts[shift].owner
        code, called = request.technicians[owner].code, request.technicians[owner].called
        if not table.fits_van(name, owner):
            because = f"{called} has used up on other visits the parts that {visit.code} needs."
            found[code] = Obstacle(Rule.PART, code, because)
        elif best_place(table, name, shift) is None:
            because = f"{called} has no room for {visit.code} in its windows beside other visits."
            if near is not None and owner not in near:
                because = (
                    f"{called} cannot be at {visit.home} in its windows and back within a day's work, "
                    "even without other visits."
                )
            found.setdefault(code, Obstacle(Rule.HOURS, code, because))
    if found:
        return list(found.values())
    because = f"{visit.code} costs more driving and lateness than leaving it out."
    return [Obstacle(Rule.HOURS, "", because)]


def _near_enough(case: Case, name: int, able: frozenset[int]) -> frozenset[int]:
    """Those who could make it on a day of which it is the only visit."""
    empty = Table(case, [() for _ in case.shifts])
    return frozenset(case.shifts[shift].owner for shift in able if best_place(empty, name, shift) is not None)
