"""Scales with round numbers, and midnights along a time axis."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.scales import MOST_TICKS, Unit, scale_for, time_ticks

START = datetime(2026, 1, 20, 5, 0, tzinfo=UTC)
CHATHAM = ZoneInfo("Pacific/Chatham")
COUNTERS = st.integers(0, 0xFFFF_FFFE)


@pytest.mark.parametrize(
    ("values", "ticks"),
    [
        ([46_560_736, 75_954_380], (40_000_000, 50_000_000, 60_000_000, 70_000_000, 80_000_000)),
        ([26_487, 462_977], (0, 100_000, 200_000, 300_000, 400_000, 500_000)),
        ([1_463_120, 17_080_656], (0, 5_000_000, 10_000_000, 15_000_000, 20_000_000)),
        ([0], (0, 1)),
    ],
    ids=["high up", "from the foot", "a restore", "nothing yet"],
)
def test_ticks_are_round(values: list[int], ticks: tuple[int, ...]):
    scale = scale_for(values)
    assert (scale.ticks, scale.logarithmic) == (ticks, False)


def test_one_wild_value_makes_the_scale_logarithmic_so_that_the_rest_can_be_read():
    scale = scale_for([1_400_000, 1_500_000, 1_600_000, 4_290_000_000])
    assert scale.logarithmic
    assert scale.ticks == tuple(10**power for power in range(6, 11))


def test_a_counter_that_began_at_nothing_and_grew_evenly_stays_linear():
    assert not scale_for(range(0, 100_000_000, 1_000_000)).logarithmic


@given(st.lists(COUNTERS, min_size=1, max_size=30))
def test_every_value_has_a_place_and_ticks_are_few(values: list[int]):
    scale = scale_for(values)
    assert all(0.0 <= scale.share(value) <= 1.0 for value in (*values, *scale.ticks))
    assert 2 <= len(scale.ticks) <= MOST_TICKS + 2
    assert scale.low <= max(min(values), 1)
    assert max(values) <= scale.high


@given(st.lists(COUNTERS, min_size=1, max_size=30), COUNTERS, COUNTERS)
def test_a_greater_value_never_stands_lower(values: list[int], one: int, other: int):
    scale = scale_for(values)
    assert scale.share(min(one, other)) <= scale.share(max(one, other))


@pytest.mark.parametrize(
    ("days", "unit", "days_shown"),
    [
        (1, Unit.DAY, ["2026-01-21"]),
        (6, Unit.DAY, ["2026-01-22", "2026-01-24", "2026-01-26"]),
        (20, Unit.DAY, ["2026-01-26", "2026-02-02", "2026-02-09"]),
        (200, Unit.MONTH, ["2026-03-01", "2026-05-01", "2026-07-01"]),
        (400, Unit.MONTH, ["2026-04-01", "2026-07-01", "2026-10-01", "2027-01-01"]),
        (2000, Unit.YEAR, ["2028-01-01", "2030-01-01"]),
    ],
)
def test_time_ticks_are_midnights_of_the_home(days: int, unit: Unit, days_shown: list[str]):
    ticks = time_ticks(START, START + timedelta(days=days), CHATHAM)
    assert {tick.unit for tick in ticks} == {unit}
    assert [tick.at.date().isoformat() for tick in ticks] == days_shown
    assert all((tick.at.hour, tick.at.minute) == (0, 0) for tick in ticks)


@given(st.floats(0, 60_000))
def test_time_ticks_are_few_and_within(days: float):
    end = START + timedelta(days=days)
    ticks = time_ticks(START, end, CHATHAM)
    assert len(ticks) <= MOST_TICKS
    assert all(START <= tick.at <= end for tick in ticks)
