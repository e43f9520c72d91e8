"""What would have to give for a visit that found no place: the least change of one thing that makes room for it.

The rest of the plan stays as it is. Tried are a window made wider, a longer day, a missing licence, skill or part, a
second person, a pin lifted, and a condition of the home that somebody answers for.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from fleet.planning.visits.case import Case, make_case, starts
from fleet.planning.visits.mending import Table, best_place
from fleet.planning.visits.pairing import best_appointment, in_jobs
from fleet.planning.visits.plan import Plan
from fleet.planning.visits.reading_back import Worked, read_back
from fleet.planning.visits.request import WAIVABLE, Licence, Request, Rule, Technician
from fleet.planning.visits.rules import local_dates, person_obstacles
from fleet.planning.visits.span import MINUTE, Span
from fleet.planning.visits.telling import told

WIDEST = 12 * 60
LONGEST_OVERTIME = 4 * 60
ENDS = (
    (False, True, "end later"),
    (True, False, "begin earlier"),
    (True, True, "begin earlier and end later"),
)
BOTH_ENDS = 2


@dataclass(frozen=True, slots=True)
class Give:
    """One thing that would have to give: by how many minutes, where it is a matter of minutes, and one sentence."""

    rule: Rule
    technician: str
    minutes: int | None
    because: str


def what_would_give(request: Request, plan: Plan, visit: str) -> list[Give]:
    """Single changes that would each make room, fewest minutes first; none where no one thing helps."""
    worked = read_back(request, plan)
    told(request, worked.case, in_jobs(worked.case, worked.days))  # refuses a plan that rules have overtaken
    number = next(place for place, one in enumerate(request.visits) if one.code == visit)
    trials = Trials(request, worked, number)
    found = [
        *trials.windows(),
        *trials.overtime(),
        *trials.people(),
        *trials.conditions(),
        *trials.pins(),
        *trials.alone(),
    ]
    return sorted(found, key=lambda give: (give.minutes is None, give.minutes or 0))


class Trials:
    """One visit against one plan, with one thing changed at a time."""

    def __init__(self, request: Request, worked: Worked, number: int) -> None:
        self._request, self._worked, self._number = request, worked, number
        self._visit = request.visits[number]

    def windows(self) -> Iterator[Give]:
        """Each window, opened sooner or closed later, whichever is less; both only where one alone is not enough."""
        for window in self._visit.windows:
            able = [
                (least, order, how)
                for order, (early, late, how) in enumerate(ENDS)
                if (least := _least(WIDEST, partial(self._fits_wider, window, early, late)))
            ]
            single = [one for one in able if one[1] < BOTH_ENDS] or able
            if single:
                least, _, how = min(single)
                local = window.begin.astimezone(self._visit.zone)
                because = f"The window of {self._visit.home} of {local:%Y-%m-%d %H:%M} must {how} by {least} minutes."
                yield Give(Rule.WINDOW, "", least, because)

    def _fits_wider(self, window: Span, early: bool, late: bool, minutes: int) -> bool:
        wider = Span(window.begin - early * minutes * MINUTE, window.end + late * minutes * MINUTE)
        return self._fits(self._with(windows=(wider,)))

    def overtime(self) -> Iterator[Give]:
        """Each technician, back later than is allowed now."""
        for technician in self._request.technicians:
            least = _least(LONGEST_OVERTIME, partial(self._fits_longer, technician))
            if least:
                allowed, called = technician.rest.overtime // MINUTE, technician.called
                because = f"{called} must be back {least} minutes later than the {allowed} of overtime allow."
                yield Give(Rule.HOURS, technician.code, least, because)

    def _fits_longer(self, technician: Technician, minutes: int) -> bool:
        rest, longer = technician.rest, minutes * MINUTE
        looser = replace(rest, overtime=rest.overtime + longer, longest_day=rest.longest_day + longer)
        return self._fits(self._with_technician(replace(technician, rest=looser)))

    def people(self) -> Iterator[Give]:
        """Each technician, given all that is missing for this visit, if that is one thing."""
        for technician in self._request.technicians:
            dates = sorted(
                {day for span in technician.days for day in local_dates(span.begin, span.end, self._visit)}
            )
            obstacles = [
                one for one in person_obstacles(self._visit, technician, dates) if one.rule is not Rule.PIN
            ]
            lacks = {one.rule for one in obstacles}
            short = self._short_of_parts(technician)
            if len(obstacles) + bool(short and Rule.PART not in lacks) != 1:
                continue
            able = replace(
                technician,
                skills=technician.skills | self._visit.skills,
                parts={
                    family: technician.parts.get(family, 0) + self._visit.parts.get(family, 0)
                    for family in short
                }
                | {family: count for family, count in technician.parts.items() if family not in short},
                licences=(
                    *technician.licences,
                    *(Licence(kind, min(dates), max(dates)) for kind in self._visit.licences),
                ),
            )
            if dates and self._fits(self._with_technician(able)):
                rule = obstacles[0].rule if obstacles else Rule.PART
                because = (
                    obstacles[0].because
                    if obstacles
                    else f"{technician.called} has no part left for {self._visit.code}."
                )
                yield Give(rule, technician.code, None, f"{because} With it there would be room.")

    def conditions(self) -> Iterator[Give]:
        """Each condition of the home, waived by somebody."""
        conditions = self._visit.conditions
        for rule in sorted(WAIVABLE - conditions.waived.keys()):
            waived = replace(conditions, waived={**conditions.waived, rule: "somebody"})
            if starts(replace(self._visit, conditions=waived), self._worked.case.clock) != starts(
                self._visit, self._worked.case.clock
            ) and self._fits(self._with(conditions=waived)):
                because = f"Somebody must answer by name for {rule} at {self._visit.home}."
                yield Give(rule, "", None, because)

    def pins(self) -> Iterator[Give]:
        """Both pins lifted."""
        if (self._visit.pinned_to or self._visit.pinned_at) and self._fits(
            self._with(pinned_to=None, pinned_at=None)
        ):
            yield Give(Rule.PIN, "", None, f"The pin of {self._visit.code} must be lifted.")

    def alone(self) -> Iterator[Give]:
        """A second person from elsewhere."""
        if self._visit.people == 2 and self._fits(self._with(people=1)):
            yield Give(
                Rule.PEOPLE,
                "",
                None,
                f"A second person is missing for {self._visit.code}; one could be there.",
            )

    def _fits(self, request: Request) -> bool:
        """Whether the visit finds a place beside the rest of the plan."""
        case = make_case(request, self._worked.together)
        if len(case.shifts) != len(self._worked.case.shifts):
            return False
        if request.visits[self._number].people == 2:
            return (
                best_appointment(request, make_case(request), case, self._number, self._worked.days)
                is not None
            )
        table = Table(case, list(in_jobs(case, self._worked.days)))
        name = next(name for name, job in enumerate(case.jobs) if job.visit == self._number)
        return any(best_place(table, name, shift) is not None for shift in case.jobs[name].shifts)

    def _with(self, **changes: object) -> Request:
        visits = list(self._request.visits)
        visits[self._number] = replace(self._visit, **changes)  # type: ignore[arg-type]
        return replace(self._request, visits=tuple(visits))

    def _with_technician(self, technician: Technician) -> Request:
        others = (technician if one.code == technician.code else one for one in self._request.technicians)
        return replace(self._request, technicians=tuple(others))

    def _short_of_parts(self, technician: Technician) -> list[str]:
        """Families of which the van has too few after the rest of the plan."""
        used = dict.fromkeys(self._visit.parts, 0)
        case: Case = self._worked.case
        for shift, day in zip(case.shifts, self._worked.days, strict=True):
            if self._request.technicians[shift.owner].code != technician.code:
                continue
            for number in day:
                for family in used:
                    used[family] += self._request.visits[number].parts.get(family, 0)
        return sorted(
            family
            for family, count in self._visit.parts.items()
            if technician.parts.get(family, 0) - used[family] < count
        )


def _least(most: int, fits: Callable[[int], bool]) -> int | None:
    """The least number of minutes from 1 on that fits, by halving; more minutes never fit worse."""
    if not fits(most):
        return None
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if fits(middle) else (middle, high)
    return high
