import numpy
import pandas
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.spread import Spread, SpreadError, percentile, spread_of

VALUES = st.lists(st.floats(0, 1e6), min_size=1, max_size=60)
SHARES = st.floats(0, 1)


@given(values=VALUES, share=SHARES)
def test_a_percentile_is_that_of_numpy(values, share):
    assert percentile(sorted(values), share) == pytest.approx(
        float(numpy.quantile(values, share)), rel=1e-9, abs=1e-9
    )


@given(values=VALUES)
def test_a_spread_is_that_of_pandas(values):
    series = pandas.Series(values)
    found = spread_of(values, 0.95)
    assert found.median == pytest.approx(float(series.median()), rel=1e-9, abs=1e-9)
    assert found.high == pytest.approx(float(series.quantile(0.95)), rel=1e-9, abs=1e-9)


def test_between_two_values_the_line_is_straight():
    # By hand: 5 values, place 0.9 * 4 = 3.6, so 40 + 0.6 * (80 - 40).
    assert percentile([10, 20, 30, 40, 80], 0.9) == 64


def test_one_value_is_all_there_is():
    assert spread_of([7.5]) == Spread(1, 7.5, 7.5)


def test_of_nothing_nothing_can_be_said():
    assert spread_of([]) == Spread(0, None, None)


@pytest.mark.parametrize("share", [-0.1, 1.1])
def test_a_share_out_of_range_is_refused(share):
    with pytest.raises(SpreadError, match=f"share: {share}; right is 0 to 1"):
        percentile([1.0], share)
