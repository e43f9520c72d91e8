"""Rates, bounds and stocks against published tables (sources in the test ids)."""

import pytest

from fleet.planning.drills import drills_to_rule_out, failing_share_upper
from fleet.planning.rates import (
    binomial_lower,
    demand_mean,
    failure_rate,
    least_stock,
    poisson_at_most,
    poisson_mean_lower,
    poisson_mean_upper,
)

HANDBOOK = "NIST-SEMATECH-8.4.5.1"

# Two-sided factors on the mean time between failures, (lower, upper) for 60, 80, 90 and 95 %.
FACTORS = {
    1: [(0.3340, 4.4814), (0.2571, 9.4912), (0.2108, 19.4958), (0.1795, 39.4978)],
    2: [(0.4674, 2.4260), (0.3758, 3.7607), (0.3177, 5.6281), (0.2768, 8.2573)],
    5: [(0.6324, 1.6184), (0.5391, 2.0554), (0.4756, 2.5379), (0.4285, 3.0798)],
    10: [(0.7326, 1.3719), (0.6491, 1.6074), (0.5895, 1.8432), (0.5438, 2.0853)],
}
ROWS = [
    pytest.param(failures, two_sided, lower, upper, id=f"{HANDBOOK}-r{failures}-{two_sided}")
    for failures, factors in FACTORS.items()
    for two_sided, (lower, upper) in zip((0.60, 0.80, 0.90, 0.95), factors, strict=True)
]


@pytest.mark.parametrize(("failures", "two_sided", "lower", "upper"), ROWS)
def test_the_upper_mean_gives_the_handbooks_lower_factor(failures, two_sided, lower, upper):
    bound = poisson_mean_upper(failures, (1 + two_sided) / 2)
    assert failures / bound == pytest.approx(lower, abs=1.01e-4)


@pytest.mark.parametrize(("failures", "two_sided", "lower", "upper"), ROWS)
def test_the_lower_mean_gives_the_handbooks_upper_factor(failures, two_sided, lower, upper):
    bound = poisson_mean_lower(failures, (1 + two_sided) / 2)
    assert failures / bound == pytest.approx(upper, abs=1.01e-4)


@pytest.mark.parametrize(
    ("failures", "years", "upper"),
    [(0, 120, 0.0250), (2, 400, 0.0157), (9, 380, 0.0413), (3, 1000, 0.0078), (0, 12, 0.2496)],
    ids=lambda value: f"chi-square-{HANDBOOK}-{value}",
)
def test_the_one_sided_upper_rate_is_the_chi_square_bound(failures, years, upper):
    assert round(failure_rate(failures, years).upper, 4) == upper


@pytest.mark.parametrize(
    ("mean", "table"),
    [
        (2, [0.1353, 0.4060, 0.6767, 0.8571, 0.9473, 0.9834, 0.9955, 0.9989]),
        (5, [0.0067, 0.0404, 0.1247, 0.2650, 0.4405, 0.6160, 0.7622, 0.8666]),
    ],
    ids=["cumulative-poisson-table-2", "cumulative-poisson-table-5"],
)
def test_the_poisson_sums_are_those_of_the_tables(mean, table):
    assert [round(poisson_at_most(k, mean), 4) for k in range(8)] == table


@pytest.mark.parametrize(
    ("passes", "trials", "percent"),
    [(1, 1, 5.0), (10, 10, 74.1), (28, 30, 80.5), (47, 50, 85.2)],
    ids=lambda value: f"trade-C8-{value}",
)
def test_the_lower_bound_of_a_pairs_record_is_clopper_and_pearsons(passes, trials, percent):
    assert round(binomial_lower(passes, trials) * 100, 1) == percent


@pytest.mark.parametrize(
    ("radios", "rate", "days", "mean", "at_95", "at_99"),
    [
        (400, 0.03, 42, 1.381, 4, 5),
        (600, 0.04, 56, 3.682, 7, 9),
        (60, 0.05, 42, 0.345, 1, 2),
        (5000, 0.03, 30, 12.329, 18, 21),
    ],
    ids=lambda value: f"trade-C13-{value}",
)
def test_the_stock_meets_demand_over_the_lead_time(radios, rate, days, mean, at_95, at_99):
    demand = demand_mean(radios, rate, days)
    assert (round(demand, 3), least_stock(demand, 0.95), least_stock(demand, 0.99)) == (mean, at_95, at_99)


@pytest.mark.parametrize(
    ("drills", "percent"),
    [(22, 12.73), (29, 9.81), (59, 4.95), (299, 1.00)],
    ids=lambda value: f"trade-C16-{value}",
)
def test_drills_without_a_failure_bound_the_failing_share(drills, percent):
    assert round(failing_share_upper(drills) * 100, 2) == percent


@pytest.mark.parametrize(
    ("homes", "drills"),
    [(50, 31), (100, 45), (200, 51), (400, 55)],
    ids=lambda value: f"trade-C16-{value}",
)
def test_a_small_book_needs_fewer_drills_to_rule_out_five_percent(homes, drills):
    assert drills_to_rule_out(homes) == drills
