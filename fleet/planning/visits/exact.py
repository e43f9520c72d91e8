"""One technician's small day, exactly: of all choices and orders of jobs the one that weighs least.

Depth first over orders with a bound on what is still to come; the timing is that of every other answer, so there is
none better under the same rules of driving.
"""

from collections.abc import Iterable

from fleet.planning.visits.case import Case
from fleet.planning.visits.timing import State, close, start_of, step, timed

SMALL = 8


def best_order(case: Case, shift: int, jobs: Iterable[int]) -> tuple[tuple[int, ...], int]:
    """The order of jobs (some perhaps left out) that weighs least in a shift, and its weight with those left out."""
    names = sorted(set(jobs))
    least = {name: min(_way_in(case, shift, name, names), case.jobs[name].left_out) for name in names}
    best = _first_guess(case, shift, names)
    stack: list[tuple[State, frozenset[int]]] = [(start_of(case.shifts[shift]), frozenset(names))]
    seen: dict[tuple[frozenset[int], int, int, int], int] = {}
    while stack:
        state, open_jobs = stack.pop()
        # The same jobs done, at the same place, at the same minute, as rested: what follows is the same.
        here = (open_jobs, state.place, state.now, state.rested)
        if seen.get(here, state.weight + 1) <= state.weight:
            continue
        seen[here] = state.weight
        whole = close(case, shift, state)
        if whole is not None:
            weight = whole.weight + sum(case.jobs[name].left_out for name in open_jobs)
            if weight < best[1]:
                best = (tuple(beat.job for beat in whole.beats), weight)
        if state.weight + sum(least[name] for name in open_jobs) >= best[1]:
            continue
        there = [beat.job for beat in state.beats]
        steps = [
            (step(case, shift, state, name), name)
            for name in open_jobs
            if _on_van(case, shift, [*there, name])
        ]
        able = [(after, name) for after, name in steps if after is not None]
        # The soonest done is looked at first: good answers early cut most of the rest.
        for after, name in sorted(able, key=lambda pair: (-pair[0].now, pair[1])):
            if after.weight + sum(least[other] for other in open_jobs if other != name) < best[1]:
                stack.append((after, open_jobs - {name}))
    return best


def _way_in(case: Case, shift: int, name: int, names: list[int]) -> int:
    """The least that driving to a job can weigh: no hour is faster than free flow."""
    place = case.jobs[name].place
    starts = [case.shifts[shift].base] + [case.jobs[other].place for other in names if other != name]
    return min(case.legs[start][place] for start in starts) * case.weights.travel_minute


def _on_van(case: Case, shift: int, names: list[int]) -> bool:
    """Whether the van holds the parts of all these jobs."""
    taken = (sum(column) for column in zip(*(case.jobs[name].parts for name in names), strict=True))
    return all(take <= have for take, have in zip(taken, case.stocks[case.shifts[shift].owner], strict=False))


def _first_guess(case: Case, shift: int, names: list[int]) -> tuple[tuple[int, ...], int]:
    """By insertion, so that the search begins with something to beat; the empty day at worst."""
    order: tuple[int, ...] = ()
    for name in sorted(names, key=lambda name: (case.jobs[name].openings or ((0, 0),))[-1][1]):
        if not _on_van(case, shift, [*order, name]):
            continue
        tries = [(*order[:place], name, *order[place:]) for place in range(len(order) + 1)]
        able = [(day.weight, new) for new in tries if (day := timed(case, shift, new)) is not None]
        order = min(able)[1] if able else order
    day = timed(case, shift, order)
    left = sum(case.jobs[name].left_out for name in names if name not in order)
    return order, (day.weight if day else 0) + left
