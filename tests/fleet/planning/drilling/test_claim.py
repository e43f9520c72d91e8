import pytest

from fleet.planning.drilling.claim import DrawnLot, claim_of

PASSED, FAILED, OPEN, LEFT = DrawnLot(True), DrawnLot(False), DrawnLot(None), DrawnLot(None, is_late=True)


@pytest.mark.parametrize(
    ("drills", "percent"),
    [(22, 12.7), (29, 9.8), (59, 4.95), (299, 1.0)],
    ids=["c16-22", "c16-29", "c16-59", "c16-299"],
)
def test_without_a_failure_the_share_is_that_of_the_trade(drills, percent):
    assert claim_of([PASSED] * drills).upper * 100 == pytest.approx(percent, abs=0.05)


def test_with_failures_the_bound_is_that_of_clopper_and_pearson():
    """C8: 28 of 30 pass with 80.5 % at least, 47 of 50 with 85.2 %."""
    assert claim_of([PASSED] * 28 + [FAILED] * 2).upper * 100 == pytest.approx(19.5, abs=0.05)
    assert claim_of([PASSED] * 47 + [FAILED] * 3).upper * 100 == pytest.approx(14.8, abs=0.05)


def test_nothing_is_claimed_from_no_drill_or_from_failures_alone():
    assert claim_of([]).upper == 1
    assert claim_of([OPEN]).upper == 1
    assert claim_of([FAILED]).upper == 1


def test_a_mesh_drawn_this_month_waits():
    found = claim_of([PASSED, OPEN])
    assert (found.counted, found.waiting, found.left_over) == (1, 1, 0)


def test_a_mesh_left_over_from_an_earlier_month_counts_as_failed():
    """Else the hard ones would be drawn, left, and forgotten."""
    found = claim_of([*[PASSED] * 28, LEFT, LEFT])
    assert (found.counted, found.failed, found.left_over) == (30, 2, 2)
    assert found.upper * 100 == pytest.approx(19.5, abs=0.05)


def test_an_uneven_draw_widens_what_is_said_of_any_mesh():
    found = claim_of([DrawnLot(True, unevenness=2.0)] * 59)
    assert found.upper_unweighted == pytest.approx(2 * found.upper)
    assert claim_of([DrawnLot(True, unevenness=50)]).upper_unweighted == 1


def test_the_widened_bound_holds_where_the_light_lots_are_the_bad_ones():
    """The worst book that a draw of unevenness 5.5 can meet: the one light lot of two fails, drawn 1 time in 11.

    60 draws pass together with a chance of (10/11)^60 = 0.3 %: the claim from 60 passes must not lie below its share.
    """
    claim = claim_of([DrawnLot(True, unevenness=(1000 + 100) / 2 / 100)] * 60)
    share_by_weight_ruled_out = claim.upper
    assert share_by_weight_ruled_out < 1 / 11
    assert claim.upper_unweighted == pytest.approx(5.5 * claim.upper)
    # A failing share of one half by count is one eleventh by weight, and both are ruled out together.
    assert claim.upper_unweighted < 0.5
