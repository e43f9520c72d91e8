"""From a request to a plan: exactly where the day is small, else by search, mending, and exchange."""

from collections.abc import Callable
from dataclasses import replace

from fleet.planning.visits.bounds import travel_bound
from fleet.planning.visits.budget import Budget, Deadline
from fleet.planning.visits.case import Case, Job, Orders, helpers, make_case
from fleet.planning.visits.exact import SMALL, best_order
from fleet.planning.visits.mending import mend, overdrawn, shared_out, weight_of
from fleet.planning.visits.pairing import Barred, in_jobs, in_vain, led, pair
from fleet.planning.visits.plan import Plan
from fleet.planning.visits.reasons import reasons
from fleet.planning.visits.request import Request
from fleet.planning.visits.searching import search
from fleet.planning.visits.telling import told

SEARCH_SHARE = 0.95
"""Of the time of a part: the rest is for mending."""
TURNS = 2
PAIR_TURNS = 4
LONE_SHARE = 0.25
TELL_EVERY_SECONDS, TELL_SHARE = 0.25, 5


def _nobody(plan: Plan) -> None:
    del plan


def make_plan(request: Request, budget: Budget, on_better: Callable[[Plan], None] = _nobody) -> Plan:
    """The best plan found within a budget; on_better hears of each better one, the first as soon as there is one.

    A technician's single day of up to eight visits is answered exactly, and at once. Raises VisitError for a request
    that cannot be: days that overlap, a way that the matrix lacks.
    """
    alone = make_case(request)
    if (
        len(alone.shifts) == 1
        and len(alone.jobs) <= SMALL
        and all(visit.people == 1 for visit in request.visits)
    ):
        return _exact(request, alone)
    deadline = Deadline.begin(budget)
    teller = Teller(request, on_better)
    if all(visit.people == 1 for visit in request.visits):
        return _finished(request, alone, alone, look_for(alone, deadline, budget, teller))
    return _with_pairs(request, alone, deadline, budget, teller)


class Teller:
    """Tells of each plan that weighs less than the last, made good first: a search's own promises may be too fair."""

    def __init__(self, request: Request, on_better: Callable[[Plan], None]) -> None:
        self._request, self._on_better = request, on_better
        self._least: int | None = None

    def tell(self, case: Case, orders: Orders) -> None:
        """Tell of orders that keep every rule."""
        weight = weight_of(case, orders)
        if self._least is None or weight < self._least:
            self._least = weight
            self._on_better(told(self._request, case, orders))


def _exact(request: Request, case: Case) -> Plan:
    order, _ = best_order(case, 0, [name for name, job in enumerate(case.jobs) if job.shifts])
    return replace(_finished(request, case, case, (order,)), exact=True)


def look_for(
    case: Case, deadline: Deadline, budget: Budget, teller: Teller | None = None, known: Orders | None = None
) -> Orders:
    """Search, then mend; never worse than what is known.

    Where the search does not know all that the clock and the vans do, several times, each from the best so far.
    """
    best = None if known is None else mend(case, known, deadline.part(0))
    turns = 1 if case.plain else TURNS
    heard = Heard(case, budget, teller, deadline.part(0))
    tight: set[int] = set()
    for turn in range(turns):
        part = deadline.part(1 / (turns - turn))
        found = search(
            case,
            part.part(SEARCH_SHARE),
            budget.seed + turn,
            heard,
            rounds=None if budget.rounds is None else max(1, budget.rounds // turns),
            known=best,
            stocks=None if best is None else shared_out(case, best, tight),
        )
        tight |= overdrawn(case, found)
        able = [mend(case, found, part), *heard.best, *([] if best is None else [best])]
        best = min(able, key=lambda orders: weight_of(case, orders))
        if teller is not None:
            teller.tell(case, best)
    return best or ()


class Heard:
    """What the search says, made good and told; not each word, as making good takes time of its own."""

    def __init__(self, case: Case, budget: Budget, teller: Teller | None, none_left: Deadline) -> None:
        self._case, self._clock, self._teller, self._none_left = case, budget.clock, teller, none_left
        self._next = budget.clock()
        self.best: list[Orders] = []

    def __call__(self, orders: Orders) -> None:
        begun = self._clock()
        if begun < self._next:
            return
        able = mend(self._case, orders, self._none_left)
        self.best = [min([able, *self.best], key=lambda orders: weight_of(self._case, orders))]
        if self._teller is not None:
            self._teller.tell(self._case, able)
        done = self._clock()
        self._next = done + max(TELL_EVERY_SECONDS, TELL_SHARE * (done - begun))


def _with_pairs(request: Request, alone: Case, deadline: Deadline, budget: Budget, teller: Teller) -> Plan:
    none_left = deadline.part(0)
    early, begun = pair(request, alone, alone, mend(alone, tuple(() for _ in alone.shifts), none_left))
    begun = mend(early, begun, none_left)
    teller.tell(early, begun)
    found = [(weight_of(early, begun), early, begun)]
    lone = look_for(alone, deadline.part(LONE_SHARE), budget)
    case, orders = alone, lone
    barred: Barred = frozenset()
    for turn in range(PAIR_TURNS):
        # Another seed each time, around the best so far: an unlucky appointment is not kept for good.
        case, begun = pair(request, alone, case, orders, barred)
        again = replace(budget, seed=budget.seed + turn)
        orders = look_for(case, deadline.part(1 / (PAIR_TURNS - turn)), again, teller, begun)
        barred |= in_vain(alone, case, orders)
        found.append((weight_of(case, orders), case, orders))
        _, case, orders = min(found, key=lambda answer: answer[0])
    least, case, orders = min(found, key=lambda answer: answer[0])
    # One person less at each visit of two is an answer for one person too, and at times the better one.
    without = mend(alone, in_jobs(alone, led(case, orders)), none_left)
    lone_weight = min(weight_of(alone, lone), weight_of(alone, without))
    return replace(_finished(request, alone, case, orders), together_weight=least - lone_weight)


def _finished(request: Request, alone: Case, case: Case, orders: Orders) -> Plan:
    plan = told(request, case, orders, reasons(request, case, orders))
    placed = sorted({case.jobs[name].visit for order in orders for name in order})
    jobs: list[Job] = [alone.jobs[number] for number in placed]
    jobs += [
        replace(alone.jobs[number], shifts=helpers(request, alone, number))
        for number in placed
        if request.visits[number].people == 2
    ]
    days = [(alone.clock.moment(shift.begin), alone.clock.moment(shift.until)) for shift in alone.shifts]
    pace = max((request.travel.hours.fastest(begin, end) for begin, end in days), default=1.0)
    return replace(plan, bound_minutes=travel_bound(alone, jobs, plan.travel_minutes, pace))
