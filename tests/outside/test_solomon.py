"""The search against Solomon's RC208 (sources in solomon/README.md)."""

import time

from fleet.planning.visits.budget import Budget, Deadline
from fleet.planning.visits.mending import weight_of
from fleet.planning.visits.solving import look_for
from fleet.planning.visits.timing import timed
from tests.outside.solomon import BEST_KNOWN, TENTHS, length, published_routes, solomon


def test_the_published_solution_of_100_customers_costs_776_1_by_our_reading():
    assert length(solomon(100), published_routes()) == BEST_KNOWN[100]


def test_the_published_solution_can_be_driven_by_our_clock_and_costs_the_same():
    case = solomon(100)
    days = [
        timed(case, number, [name - 1 for name in route]) for number, route in enumerate(published_routes())
    ]
    assert round(sum(day.weight for day in days) / TENTHS, 1) == BEST_KNOWN[100]


def test_25_customers_are_answered_with_the_best_known_269_1():
    case = solomon(25)
    limit = Budget(30, time.monotonic, rounds=2000)
    orders = look_for(case, Deadline.begin(limit), limit)
    assert weight_of(case, orders) / TENTHS == BEST_KNOWN[25]
    assert length(case, [[name + 1 for name in order] for order in orders if order]) == BEST_KNOWN[25]
