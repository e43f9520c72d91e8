from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.copy_calendar import Gap
from fleet.planning.copy_gaps import days_without, gaps_in

FIRST, LAST = date(2027, 3, 1), date(2027, 3, 31)
MARCH = [FIRST + timedelta(days=step) for step in range(31)]


def day(number: int) -> date:
    return date(2027, 3, number)


def test_a_gap_is_told_with_both_its_ends():
    sound = [each for each in MARCH if not 3 <= each.day <= 17]
    assert gaps_in(sound, FIRST, LAST) == (Gap(day(3), day(17)),)


def test_one_day_without_is_no_gap_but_it_is_counted():
    sound = [each for each in MARCH if each.day != 9]
    assert (gaps_in(sound, FIRST, LAST), days_without(sound, FIRST, LAST)) == ((), 1)


def test_the_beginning_and_the_end_of_the_period_count():
    found = gaps_in([day(10)], FIRST, LAST)
    assert found == (Gap(day(1), day(9)), Gap(day(11), day(31), is_open=True))


def test_without_any_copy_the_whole_period_is_one_gap():
    assert gaps_in([], FIRST, LAST) == (Gap(FIRST, LAST, is_open=True),)


def test_copies_outside_the_period_fill_nothing():
    outside = [FIRST - timedelta(days=1), LAST + timedelta(days=1)]
    assert days_without(outside, FIRST, LAST) == 31


@given(st.sets(st.sampled_from(MARCH)))
def test_gaps_hold_exactly_the_days_without_that_have_a_neighbour(sound):
    """Day by day, as a person would with a calendar."""
    without = [each for each in MARCH if each not in sound]
    lonely = [
        each
        for each in without
        if each - timedelta(days=1) not in without and each + timedelta(days=1) not in without
    ]
    in_gaps = {
        gap.first + timedelta(days=step) for gap in gaps_in(sound, FIRST, LAST) for step in range(gap.days)
    }
    assert in_gaps == set(without) - set(lonely)
    assert days_without(sound, FIRST, LAST) == len(without)
