"""The search for a good plan, by PyVRP (iterated local search; Wouda, Lan, Kool 2024): the only file that knows it.

A shift is a vehicle, a job an optional client whose prize is the weight of leaving it out. Who may go where, and who
is a stranger, is said by routing profiles; several openings are clients of which one at most is served. Three things
the solver does not know and `mending` puts right: the pace of the hour (it drives out at that of the morning, back at
that of the evening, else at the mean one), pauses (it plans a shorter day), and parts on a van over several days.
"""

from __future__ import annotations

import logging
import warnings
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from fleet.planning.visits.budget import Deadline
from fleet.planning.visits.case import Case, Job, Openings, Orders
from fleet.planning.visits.shifts import Shift
from fleet.planning.visits.timing import Beat, late_weight, timed

if TYPE_CHECKING:
    import pyvrp

NO_WAY = 10_000_000
"""Minutes that no day has: the way to a job that a shift may not do."""
LATE_STEP = 24 * 60
HOUR = 60

Stocks = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Fleet:
    """Shifts that are alike in all that the search sees, by their numbers."""

    numbers: tuple[int, ...]
    allowed: frozenset[int]
    strange: frozenset[int]


def search(
    case: Case,
    deadline: Deadline,
    seed: int,
    on_better: Callable[[Orders], None],
    *,
    rounds: int | None = None,
    known: Orders | None = None,
    stocks: Stocks | None = None,
) -> Orders:
    """The best orders of jobs found until the deadline, or in so many rounds; known ones are where it begins.

    stocks are the parts that each shift may use; without them each may use all that is on the van.
    """
    import pyvrp

    logging.getLogger("pyvrp").handlers.clear()  # it would write to the standard output of whoever loads it
    if not any(job.shifts for job in case.jobs):
        return tuple(() for _ in case.shifts)
    problem = Problem(case, stocks or whole_stocks(case))
    left = [rounds]

    def stop(best_cost: int) -> bool:
        if left[0] is not None:
            left[0] -= 1
        return deadline.over() or (left[0] is not None and left[0] < 0)

    class Told(pyvrp.IteratedLocalSearchCallbacks):
        def on_start(self, ils: pyvrp.IteratedLocalSearch) -> None:
            if ils.initial_solution.is_feasible():
                on_better(problem.orders(ils.initial_solution))

        def on_best(self, best: pyvrp.Solution) -> None:
            if best.is_feasible():
                on_better(problem.orders(best))

    params = pyvrp.SolveParams(ils=pyvrp.IteratedLocalSearchParams(callbacks=Told()))
    begin = problem.solution(known) if known is not None else None
    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore"
        )  # about penalties at their bounds: an answer without a feasible day says so itself
        found = pyvrp.solve(problem.data, stop, seed, False, False, params, begin)
    # A day that cannot be is not kept: its jobs count as left out, and mending looks for places for them.
    return problem.orders(found.best)


class Problem:
    """A case in the solver's terms, and its answers in ours."""

    def __init__(self, case: Case, stocks: Stocks) -> None:
        import pyvrp

        self.case, self.stocks = case, stocks
        self.fleets = _fleets(case, stocks)
        bases = sorted({case.shifts[fleet.numbers[0]].base for fleet in self.fleets})
        self._depots = {base: place for place, base in enumerate(bases)}
        self._places = bases + [job.place for job in case.jobs]
        self.clients: list[int] = []
        clients, groups = self._clients(len(bases))
        distances, durations = zip(*map(self._matrices, self.fleets), strict=True)
        self.data = pyvrp.ProblemData(
            [pyvrp.Location(0, 0) for _ in self._places],
            clients,
            [pyvrp.Depot(place) for place in range(len(bases))],
            [self._vehicle(fleet, profile) for profile, fleet in enumerate(self.fleets)],
            list(distances),
            list(durations),
            groups,
        )

    def orders(self, solution: pyvrp.Solution) -> Orders:
        """Jobs by shift; the shifts of a fleet are alike, so they take its routes in turn."""
        found: list[tuple[int, ...]] = [() for _ in self.case.shifts]
        free = [list(fleet.numbers) for fleet in self.fleets]
        for route in solution.routes():
            jobs = tuple(self.clients[stop.idx] for stop in route if stop.is_client())
            found[free[route.vehicle_type()].pop(0)] = jobs
        return tuple(found)

    def solution(self, orders: Orders) -> pyvrp.Solution:
        """Possible orders as the solver's: of several openings each job takes the one that it begins in."""
        import pyvrp

        routes = [
            pyvrp.Route(self.data, [self._client(beat) for beat in day.beats], kind)
            for kind, fleet in enumerate(self.fleets)
            for number in fleet.numbers
            if orders[number] and (day := timed(self.case, number, orders[number]))
        ]
        return pyvrp.Solution(self.data, routes)

    def _client(self, beat: Beat) -> int:
        """The client that stands for the opening in which a job begins."""
        able = [client for client, job in enumerate(self.clients) if job == beat.job]
        clients = self.data.clients()
        return next((client for client in able if beat.begin <= clients[client].tw_late), able[-1])

    def _clients(self, first_place: int) -> tuple[list[pyvrp.Client], list[pyvrp.ClientGroup]]:
        import pyvrp

        clients: list[pyvrp.Client] = []
        groups: list[pyvrp.ClientGroup] = []
        for name, job in enumerate(self.case.jobs):
            pieces = list(_pieces(self.case, job))
            group = None
            if len(pieces) > 1:
                group = len(groups)
                names = range(len(clients), len(clients) + len(pieces))
                groups.append(pyvrp.ClientGroup(list(names), required=False))
            for first, last in pieces:
                self.clients.append(name)
                clients.append(
                    pyvrp.Client(
                        first_place + name,
                        list(job.parts),
                        service_duration=job.minutes,
                        tw_early=max(0, first),
                        tw_late=last,
                        prize=max(1, job.left_out - late_weight(self.case, job, first)),
                        required=False,
                        group=group,
                    )
                )
        return clients, groups

    def _vehicle(self, fleet: Fleet, profile: int) -> pyvrp.VehicleType:
        import pyvrp

        shift = self.case.shifts[fleet.numbers[0]]
        short = shift.pause if shift.until - shift.begin > shift.pause_within else 0
        until = max(shift.begin + 1, shift.until - short)
        end = min(max(shift.begin + 1, shift.end - short), until)
        depot = self._depots[shift.base]
        return pyvrp.VehicleType(
            len(fleet.numbers),
            list(self.stocks[fleet.numbers[0]]),
            depot,
            depot,
            tw_early=shift.begin,
            tw_late=until,
            start_late=shift.begin,
            shift_duration=end - shift.begin,
            max_overtime=until - end,
            unit_overtime_cost=self.case.weights.overtime_minute if until > end else 0,
            profile=profile,
        )

    def _matrices(self, fleet: Fleet) -> tuple[Any, Any]:
        import numpy

        places, bases = self._places, len(self._depots)
        legs = numpy.asarray(self.case.legs, dtype=numpy.float64)[numpy.ix_(places, places)]
        shift = self.case.shifts[fleet.numbers[0]]
        durations = numpy.ceil(legs * _mean_pace(self.case, shift) - 1e-9).astype(numpy.int64)
        if not self.case.steady:
            base, rows = self._depots[shift.base], legs.astype(numpy.int64)
            for column in range(bases, len(places)):
                durations[base, column] = _out(self.case, shift, int(rows[base, column]))
                durations[column, base] = _back(self.case, shift, int(rows[column, base]))
        distances = durations * self.case.weights.travel_minute
        for name in range(len(self.case.jobs)):
            column = bases + name
            if name not in fleet.allowed:
                durations[:, column] = NO_WAY
                distances[:, column] = NO_WAY
            elif name in fleet.strange:
                distances[:, column] += self.case.weights.other_technician
        numpy.fill_diagonal(durations, 0)
        numpy.fill_diagonal(distances, 0)
        return distances, durations


def whole_stocks(case: Case) -> Stocks:
    """All that is on the van, in each shift."""
    return tuple(case.stocks[shift.owner] for shift in case.shifts)


def _fleets(case: Case, stocks: Stocks) -> list[Fleet]:
    alike: dict[tuple[Any, ...], Fleet] = {}
    for number, shift in enumerate(case.shifts):
        allowed = frozenset(name for name, job in enumerate(case.jobs) if number in job.shifts)
        strange = frozenset(name for name in allowed if number in case.jobs[name].strange)
        if not allowed:
            continue
        same = replace(shift, owner=0), stocks[number], allowed, strange
        known = alike.get(same)
        alike[same] = Fleet((*(known.numbers if known else ()), number), allowed, strange)
    return list(alike.values())


def _pieces(case: Case, job: Job) -> Iterator[tuple[int, int]]:
    """The openings, joined where nobody works between them, and cut where lateness begins and by the day after."""
    for first, last in _bridged(case, job):
        begin = first
        while job.due is not None and begin <= last:
            cut = job.due if begin <= job.due else begin + LATE_STEP - 1
            if cut >= last:
                break
            yield begin, cut
            begin = cut + 1
        yield begin, last


def _bridged(case: Case, job: Job) -> Openings:
    work = [(case.shifts[number].begin, case.shifts[number].until) for number in job.shifts]
    found: list[tuple[int, int]] = []
    for first, last in job.openings:
        if last < 0 or not any(begin <= last and first <= until for begin, until in work):
            continue
        if found and not any(begin < first and found[-1][1] < until for begin, until in work):
            found[-1] = (found[-1][0], last)
        else:
            found.append((first, last))
    return tuple(found)


def _out(case: Case, shift: Shift, minutes: int) -> int:
    """The way out in the morning, when the day begins."""
    return case.arrive(shift.begin, minutes) - shift.begin


def _back(case: Case, shift: Shift, minutes: int) -> int:
    """The way back in the evening, when the day ends."""
    leave = max(shift.begin, shift.end - 2 * minutes)
    return case.arrive(leave, minutes) - leave


def _mean_pace(case: Case, shift: Shift) -> float:
    """How much longer than at free flow ways take on the mean between the first hour of a day and its last."""
    if case.steady:
        return 1.0
    leaving = range(shift.begin + HOUR, shift.end - HOUR, HOUR // 2) or range(shift.begin, shift.begin + 1)
    spans: Sequence[int] = [case.arrive(at, HOUR) - at for at in leaving]
    return sum(spans) / len(spans) / HOUR
