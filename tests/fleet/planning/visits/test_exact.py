from dataclasses import replace
from itertools import chain, permutations

import pytest

from fleet.planning.visits.case import make_case
from fleet.planning.visits.exact import SMALL, best_order
from fleet.planning.visits.solving import make_plan
from fleet.planning.visits.timing import timed
from tests.fleet.planning.visits.worlds import budget, random_request, request, technician, visit


def by_trying_all(case, jobs):
    """The least weight of all choices in all orders, with nothing clever in it."""
    best = sum(case.jobs[name].left_out for name in jobs)
    for order in chain.from_iterable(permutations(jobs, count) for count in range(1, len(jobs) + 1)):
        day = timed(case, 0, order)
        taken = [sum(column) for column in zip(*(case.jobs[name].parts for name in order), strict=True)]
        if day is not None and all(take <= have for take, have in zip(taken, case.stocks[0], strict=True)):
            left = sum(case.jobs[name].left_out for name in jobs if name not in order)
            best = min(best, day.weight + left)
    return best


def small_world(seed):
    """A day of one technician who works on it."""
    world = random_request(1000 * seed, days=1, people=1, visits=6)
    return replace(world, visits=tuple(replace(stop, people=1) for stop in world.visits))


@pytest.mark.parametrize("seed", range(25))
def test_a_small_day_is_as_good_as_trying_all_orders(seed):
    case = make_case(small_world(seed))
    jobs = [name for name, job in enumerate(case.jobs) if job.shifts]
    order, weight = best_order(case, 0, jobs)
    day = timed(case, 0, order)
    left = sum(case.jobs[name].left_out for name in jobs if name not in order)
    assert (weight, day.weight + left) == (by_trying_all(case, jobs),) * 2


def test_a_small_day_says_that_it_is_exact():
    assert make_plan(request([technician()], [visit(f"V{name}") for name in range(SMALL)]), budget()).exact


def test_a_larger_day_does_not_say_so():
    assert not make_plan(
        request([technician()], [visit(f"V{name}") for name in range(SMALL + 1)]), budget(5)
    ).exact
