"""Rates with honest bounds from few events (trade rules C8, C12, C13).

All bounds are exact (Poisson or binomial sums turned round by bisection), because the counts are small and no
failure in a few years must never read as a rate of nothing.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from itertools import count


class RateError(ValueError):
    """A count, a time or a share that cannot be right."""


@dataclass(frozen=True, slots=True)
class FailureRate:
    """Failures a radio-year: mean and one-sided upper bound, both None where no years were served.

    The bound takes failures as independent. Storms and bad updates are not: show the largest same-cause
    cluster beside it.
    """

    failures: int
    radio_years: float
    mean: float | None
    upper: float | None


def failure_rate(failures: int, radio_years: float, confidence: float = 0.95) -> FailureRate:
    """The rate from so many failures in so many radio-years in service.

    A radio taken out for an upgrade adds its years and no failure; one dead on arrival is counted elsewhere.
    The upper bound is chi-square(confidence, 2k + 2) / 2T (NIST/SEMATECH e-Handbook 8.4.5.1).
    """
    if not (math.isfinite(radio_years) and radio_years >= 0):
        raise RateError(f"The time in service is {radio_years} radio-years; it must be 0 or more.")
    upper = poisson_mean_upper(failures, confidence)
    if radio_years == 0:
        return FailureRate(failures, radio_years, None, None)
    return FailureRate(failures, radio_years, failures / radio_years, upper / radio_years)


def poisson_at_most(events: int, mean: float) -> float:
    """P(X <= events) for a Poisson count with the given mean (0 or more)."""
    if events < 0:
        return 0.0
    if mean == 0:
        return 1.0
    log_mean = math.log(mean)
    terms = (math.exp(i * log_mean - mean - math.lgamma(i + 1)) for i in range(events + 1))
    return min(1.0, math.fsum(terms))


def poisson_mean_upper(events: int, confidence: float) -> float:
    """The mean at which so few events or fewer would have had a chance of only 1 - confidence."""
    _check_events(events)
    _check_share(confidence, "confidence")
    highest = float(events + 1)
    while poisson_at_most(events, highest) > 1 - confidence:
        highest *= 2
    return _falling_to(1 - confidence, lambda mean: poisson_at_most(events, mean), highest)


def poisson_mean_lower(events: int, confidence: float) -> float:
    """The mean at which so many events or more would have had a chance of only 1 - confidence; 0 for none."""
    _check_events(events)
    _check_share(confidence, "confidence")
    if events == 0:
        return 0.0
    return _falling_to(confidence, lambda mean: poisson_at_most(events - 1, mean), events + 1.0)


@lru_cache(maxsize=4096)
def binomial_lower(passes: int, trials: int, confidence: float = 0.95) -> float:
    """The one-sided lower bound on a share of successes (Clopper and Pearson 1934); 0 without a pass."""
    if not 0 <= passes <= trials:
        raise RateError(f"There are {passes} passes in {trials} trials; there must be 0 to {trials}.")
    _check_share(confidence, "confidence")
    if passes == 0:
        return 0.0
    # Logarithms, as the coefficients outgrow a float from about 1,000 trials.
    log_ways = [(i, math.log(math.comb(trials, i))) for i in range(passes, trials + 1)]

    def at_least_so_many(share: float) -> float:
        log_yes, log_no = math.log(share), math.log1p(-share)
        return math.fsum(math.exp(ways + i * log_yes + (trials - i) * log_no) for i, ways in log_ways)

    return _falling_to(confidence, lambda share: 1 - at_least_so_many(share), 1.0)


def demand_mean(radios: int, failures_per_year: float, lead_days: float) -> float:
    """Spares asked for while an order is on its way, on average. Give the upper rate, not the mean one."""
    return radios * failures_per_year * lead_days / 365


def least_stock(mean: float, service: float) -> int:
    """The fewest spares that meet all demand with a chance of at least service (over 0, at most 0.9999)."""
    if not (math.isfinite(mean) and mean >= 0):
        raise RateError(f"The mean demand is {mean}; it must be 0 or more.")
    if not 0 < service <= 0.9999:
        raise RateError(f"The service wanted is {service}; it must be over 0 and at most 0.9999.")
    return next(stock for stock in count() if poisson_at_most(stock, mean) >= service)


def _falling_to(target: float, function: Callable[[float], float], highest: float) -> float:
    """Where a falling function comes down to target, between 0 and highest, to the last bit."""
    low, high = 0.0, highest
    while low < (middle := (low + high) / 2) < high:
        if function(middle) > target:
            low = middle
        else:
            high = middle
    return high


def _check_events(events: int) -> None:
    if events < 0:
        raise RateError(f"The count of events is {events}; it must be 0 or more.")


def _check_share(share: float, name: str) -> None:
    if not 0 < share < 1:
        raise RateError(f"The {name} is {share}; it must lie between 0 and 1.")
