"""How long until the next try."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.retries import wait


@pytest.mark.parametrize(("tries", "minutes"), [(1, 1), (2, 2), (3, 4), (6, 32), (7, 60), (500, 60)])
def test_it_doubles_up_to_an_hour(tries, minutes):
    assert wait(tries, 0.5) == timedelta(minutes=minutes)


@given(st.integers(1, 10_000), st.floats(0, 1))
def test_chance_spreads_it_by_a_quarter_either_way(tries, chance):
    middle = wait(tries, 0.5)

    assert 0.75 * middle <= wait(tries, chance) <= 1.25 * middle
