from itertools import permutations
from random import Random

import pytest

from fleet.planning.visits.bounds import assignment
from fleet.planning.visits.solving import make_plan
from tests.fleet.planning.visits.test_exact import small_world
from tests.fleet.planning.visits.worlds import budget, random_request, request, technician, visit


@pytest.mark.parametrize("seed", range(30))
def test_the_assignment_is_the_least_of_all(seed):
    dice = Random(seed)
    size = dice.randint(1, 6)
    table = [[float(dice.randint(0, 40)) for _ in range(size)] for _ in range(size)]
    least = min(
        sum(table[row][column] for row, column in enumerate(order)) for order in permutations(range(size))
    )
    assert assignment(table) == least


@pytest.mark.parametrize("seed", range(25))
def test_the_bound_is_never_over_an_exact_answer(seed):
    plan = make_plan(small_world(seed), budget())
    assert plan.exact
    assert (plan.bound_minutes or 0) <= plan.travel_minutes


@pytest.mark.parametrize("seed", range(20))
def test_the_bound_is_never_over_a_plan_of_several(seed):
    plan = make_plan(random_request(seed, days=2, people=3, visits=12), budget(40))
    assert (plan.bound_minutes or 0) <= plan.travel_minutes


def test_one_visit_alone_has_no_gap():
    plan = make_plan(request([technician()], [visit()]), budget())
    assert plan.gap == 0
