"""The pictures of rings and of rates."""

from datetime import UTC, datetime

from fleet.planning.rate_chart import LEFT, RIGHT, chart_of
from fleet.planning.rates import failure_rate
from fleet.planning.ring_chart import circles
from fleet.planning.rings import RingFacts, RingKind, UnitFacts, stand_of

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)


def test_a_circle_is_drawn_as_far_as_its_ring_has_come():
    done, worse, due = UnitFacts(NOW), UnitFacts(NOW, regressed=True), UnitFacts()
    bench = RingFacts(RingKind.BENCH, 7, (done,), passed=True)
    few = RingFacts(RingKind.FEW, 7, (done, worse, due, due))

    inner, outer = circles(stand_of([bench, few], 59, NOW).rings)

    assert (inner.clean, outer.clean, outer.worse, outer.turned) == (100, 25, 25, 90)
    assert inner.radius < outer.radius


def test_no_failure_has_a_bound_in_the_picture():
    (bar,) = chart_of([("family R", failure_rate(0, 120))]).bars

    assert bar.mean == LEFT
    assert LEFT < bar.upper <= RIGHT


def test_a_very_wide_bound_runs_off_the_edge():
    few, many = chart_of([("few", failure_rate(0, 1)), ("many", failure_rate(2, 400))]).bars

    assert (few.upper, few.beyond, many.beyond) == (RIGHT, True, False)


def test_a_family_without_years_has_no_bar():
    (bar,) = chart_of([("new", failure_rate(0, 0))]).bars

    assert (bar.mean, bar.upper) == (None, None)


def test_the_axis_begins_at_nothing_and_goes_up_to_the_bound_or_more():
    ticks = chart_of([("family Q", failure_rate(9, 380))]).ticks

    assert ticks[0].value == 0
    assert ticks[-1].value >= 4.13
