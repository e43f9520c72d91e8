from dataclasses import replace

import pytest

from fleet.planning.rates import failure_rate
from fleet.planning.stock import Lying, pool_of, why_not

READY = Lying("A2-0110", "P", "shelf", False, True, True, True, False)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({}, ""),
        ({"stands_by": False}, "it does not stand by"),
        ({"blank_proven": False}, "nobody has proven it blank"),
        ({"firmware_known": False}, "its firmware is not known"),
        ({"firmware_barred": True}, "its firmware is barred"),
        ({"place": None}, "nobody knows where it lies"),
    ],
    ids=["ready", "in service", "not blank", "firmware not known", "barred", "nowhere"],
)
def test_a_spare_counts_only_when_everything_is_in_order(change, why):
    assert why_not(replace(READY, **change)) == why


# Trade rule C13, worked out by its author: radios, failures a year, lead days, then stock at 95 % and at 99 %.
WORKED = [(400, 0.03, 42, 4, 5), (600, 0.04, 56, 7, 9), (60, 0.05, 42, 1, 2), (5000, 0.03, 30, 18, 21)]


@pytest.mark.parametrize(("radios", "rate", "lead", "at_95", "at_99"), WORKED)
def test_as_many_are_wanted_as_the_trade_works_out(radios, rate, lead, at_95, at_99):
    wanted = [pool_of("P", [], radios, rate, False, lead, service).wanted for service in (0.95, 0.99)]
    assert wanted == [at_95, at_99]


def test_the_upper_rate_asks_for_more_than_the_mean():
    """Trade rule C13: 2 failures in 400 years; the mean asks for 1, the upper bound for 2."""
    rate = failure_rate(2, 400)
    assert [pool_of("P", [], 400, each, False).wanted for each in (rate.mean, rate.upper)] == [1, 2]


def test_one_more_is_wanted_where_failures_had_one_cause():
    assert pool_of("P", [], 400, 0.03, True).wanted == 5


def test_what_is_in_a_home_is_no_part_of_the_pool():
    pool = pool_of("P", [READY, replace(READY, code="A2-0111", at_a_home=True)], 400, 0.03, False)
    assert (pool.counting, pool.short) == (("A2-0110",), 3)


def test_a_family_that_never_served_has_no_number_and_no_comfort():
    pool = pool_of("P", [READY], 3, None, False)
    assert (pool.wanted, pool.short) == (None, None)


def test_a_family_that_leads_no_mesh_wants_nothing():
    assert pool_of("P", [READY], 0, 0.03, True).wanted == 0
