import pytest

from fleet.planning.rates import (
    RateError,
    binomial_lower,
    demand_mean,
    failure_rate,
    least_stock,
    poisson_at_most,
    poisson_mean_lower,
    poisson_mean_upper,
)


def test_no_failure_is_never_a_rate_of_nothing_alone():
    # 1 - exp(-2.9957) = 0.95
    assert round(failure_rate(0, 1).upper, 4) == 2.9957


def test_no_radio_years_give_no_rate_and_no_bound():
    found = failure_rate(0, 0)
    assert (found.mean, found.upper) == (None, None)


def test_the_mean_is_failures_over_radio_years():
    assert failure_rate(9, 360).mean == 0.025


def test_planning_with_the_upper_rate_asks_for_one_spare_more():
    # Trade rule C13: 2 failures in 400 years; for 400 radios over 42 days at 95 %, means of 0.230 and 0.725.
    rate = failure_rate(2, 400)
    by_mean = least_stock(demand_mean(400, rate.mean, 42), 0.95)
    by_bound = least_stock(demand_mean(400, rate.upper, 42), 0.95)
    assert (by_mean, by_bound) == (1, 2)


def test_a_demand_of_nothing_needs_no_stock():
    assert least_stock(0, 0.95) == 0


def test_no_events_have_a_lower_mean_of_nothing():
    assert poisson_mean_lower(0, 0.95) == 0


def test_fewer_than_no_events_are_impossible():
    assert poisson_at_most(-1, 2) == 0


def test_a_bound_holds_for_many_events():
    # By the Wilson-Hilferty approximation: 1001 * (1 - 1/9009 + 1.6449 * sqrt(1/9009))^3 = 1,053.6.
    assert round(poisson_mean_upper(1000, 0.95), 1) == 1053.6


def test_no_pass_gives_a_lower_bound_of_nothing():
    assert binomial_lower(0, 12) == 0


def test_no_trial_gives_a_lower_bound_of_nothing():
    assert binomial_lower(0, 0) == 0


def test_all_of_many_passes_bound_near_one():
    # 0.05 ** (1 / 3000)
    assert round(binomial_lower(3000, 3000), 6) == 0.999002


def test_a_lower_bound_rises_with_passes():
    bounds = [binomial_lower(passes, 20) for passes in range(21)]
    assert bounds == sorted(set(bounds))


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: failure_rate(-1, 10), "count of events is -1"),
        (lambda: failure_rate(1, -10), "time in service is -10"),
        (lambda: failure_rate(1, 10, 1), "confidence is 1"),
        (lambda: binomial_lower(3, 2), "3 passes in 2 trials"),
        (lambda: least_stock(-1, 0.95), "mean demand is -1"),
        (lambda: least_stock(1, 1), "service wanted is 1"),
    ],
)
def test_figures_that_cannot_be_right_are_refused_by_name(call, named):
    with pytest.raises(RateError, match=named):
        call()
