"""Failures by the age of a radio."""

from datetime import UTC, datetime

import pytest

from fleet.planning.radio_ages import Life, by_age
from fleet.planning.service_years import YEAR, Build, Period, served

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)
BUILD = Build("P", "A2", "6.10")


def life(began, since, until=0.0, failed=False):
    """Years before now; until 0 is still on air."""
    ended = NOW - until * YEAR if until or failed else None
    return Life(NOW - began * YEAR, Period(BUILD, NOW - since * YEAR, ended, failed))


def test_a_long_time_in_service_is_shared_out_over_the_bands():
    bands = by_age([life(6, 6)], NOW)

    assert [round(band.rate.radio_years, 6) for band in bands] == [1, 2, 2, 1]
    assert [band.words for band in bands] == ["first year", "1 to 3 years", "3 to 5 years", "from 5 years on"]


def test_a_failure_falls_into_the_band_of_its_age():
    bands = by_age([life(4, 4, failed=True)], NOW)

    assert [band.rate.failures for band in bands] == [0, 0, 1, 0]


def test_a_radio_that_goes_on_air_again_is_as_old_as_it_is():
    bands = by_age([life(4, 4, 3.5), life(4, 1)], NOW)

    assert [round(band.rate.radio_years, 6) for band in bands] == [0.5, 0, 1, 0]


def test_what_was_taken_out_for_another_reason_adds_years_and_no_failure():
    bands = by_age([life(2, 2, 0.5)], NOW)

    assert sum(band.rate.failures for band in bands) == 0
    assert sum(band.rate.radio_years for band in bands) == pytest.approx(1.5)


def test_the_bands_hold_all_that_was_served():
    lives = [life(7, 7, 2, failed=True), life(3, 2), life(0.5, 0.5, failed=True)]
    bands, whole = by_age(lives, NOW), served((each.period for each in lives), NOW)[BUILD]

    assert sum(band.rate.radio_years for band in bands) == pytest.approx(whole.years)
    assert sum(band.rate.failures for band in bands) == whole.failures == 2


def test_a_band_that_nobody_reached_is_not_known():
    assert by_age([], NOW)[0].rate.upper is None
