from decimal import Decimal

import pytest

from fleet.planning.estimating import (
    DeviceClass,
    EstimateError,
    RejoinWork,
    ThreePoints,
    cost,
    rejoin_minutes,
    restore_minutes,
    weigh,
)

# The worked example of trade rule C7: 48 nodes, 95 an hour.
COUNTS = {
    DeviceClass.PLUG_IN: 9,
    DeviceClass.BATTERY: 22,
    DeviceClass.FIXED: 13,
    DeviceClass.LIFE_SAFETY: 2,
    DeviceClass.LOCK: 2,
}
RATE = Decimal(95)
RESTORE_COST, REJOIN_COST = Decimal("109.25"), Decimal("589.48")


def test_joining_48_devices_takes_372_3_minutes():
    assert round(rejoin_minutes(COUNTS).likely, 6) == 372.3


def test_restoring_a_mesh_of_48_takes_69_minutes():
    assert restore_minutes(48).likely == 69


def test_joining_48_devices_costs_589_5():
    assert cost(372.3, RATE, Decimal("0.1")) == Decimal("589.5")


def test_restoring_a_mesh_of_48_costs_109_3():
    assert cost(69, RATE, Decimal("0.1")) == Decimal("109.3")


def test_trying_first_breaks_even_at_18_5_percent():
    assert round(weigh(RESTORE_COST, REJOIN_COST, 0.85).break_even * 100, 1) == 18.5


def test_trying_first_at_85_percent_saves_391_8():
    assert round(weigh(RESTORE_COST, REJOIN_COST, 0.85).saving, 1) == Decimal("391.8")


def test_trying_first_above_break_even_is_advised():
    assert weigh(RESTORE_COST, REJOIN_COST, 0.19).try_first is True


def test_trying_first_below_break_even_is_not_advised():
    assert weigh(RESTORE_COST, REJOIN_COST, 0.18).try_first is False


def test_an_unproven_pair_advises_nothing():
    found = weigh(RESTORE_COST, REJOIN_COST, None)
    assert (found.try_first, found.saving) == (None, None)


def test_a_mesh_without_devices_has_no_break_even():
    found = weigh(RESTORE_COST, Decimal(0), 0.85)
    assert (found.break_even, found.try_first) == (None, False)


def test_a_chance_above_one_is_refused():
    with pytest.raises(EstimateError, match=r"chance of success is 1\.2"):
        weigh(RESTORE_COST, REJOIN_COST, 1.2)


def test_a_mesh_without_devices_takes_no_joining():
    assert rejoin_minutes({}) == ThreePoints(0, 0, 0)


def test_travel_counts_on_both_sides():
    way = ThreePoints(20, 30, 60)
    joining = rejoin_minutes(COUNTS, way).likely - rejoin_minutes(COUNTS).likely
    assert (restore_minutes(48, way).likely - 69, round(joining, 6)) == (30, 30)


def test_the_firms_own_minutes_replace_the_defaults():
    # 2 locks, 10 minutes each, none twice, 1 minute each to link.
    work = RejoinWork(
        minutes={DeviceClass.LOCK: ThreePoints.exactly(10)},
        rework_share=ThreePoints.exactly(0),
        relink_per_node=ThreePoints.exactly(1),
    )
    assert rejoin_minutes({DeviceClass.LOCK: 2}, work=work) == ThreePoints(22, 22, 22)


def test_the_mean_weighs_the_likely_four_times():
    # (10 + 4 * 20 + 60) / 6
    assert ThreePoints(10, 20, 60).mean == 25


@pytest.mark.parametrize("points", [(2, 1, 3), (1, 3, 2), (-1, 0, 1), (0, 1, float("inf"))])
def test_three_points_out_of_order_are_refused(points):
    with pytest.raises(EstimateError, match="low, likely, high"):
        ThreePoints(*points)


def test_a_negative_count_is_refused_by_name():
    with pytest.raises(EstimateError, match="count of lock is -1"):
        rejoin_minutes({DeviceClass.LOCK: -1})


def test_money_is_rounded_half_up():
    # 4.5 / 60 * 10 = 0.75
    assert cost(4.5, Decimal(10), Decimal("0.1")) == Decimal("0.8")


def test_money_without_small_coins_is_whole():
    assert cost(69, Decimal(9500), Decimal(1)) == Decimal(10925)
