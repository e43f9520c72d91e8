"""Pins around swaps, and how long an old network key still counts."""

from datetime import UTC, datetime, timedelta

import pytest

from fleet.planning.keeping import Copy
from fleet.planning.pinning import Swap, reached_everyone, swap_pins

NOON = datetime(2027, 3, 26, 12, tzinfo=UTC)
DAY = timedelta(days=1)
SWAP = Swap("swap to A2-0111", silenced=NOON - 10 * DAY, on_air=NOON - 10 * DAY + timedelta(minutes=40))


def dailies(count: int, unsound: set[int] = frozenset()) -> list[Copy[int]]:
    """A copy at each noon back from NOON, keyed by how many days old it is."""
    return [Copy(age, NOON - age * DAY, age not in unsound) for age in range(count)]


def test_the_last_copy_before_a_swap_and_the_first_after_it_are_pinned():
    pins = swap_pins(dailies(30), [SWAP])
    assert pins == {10: ("before swap to A2-0111",), 9: ("after swap to A2-0111",)}


def test_an_unsound_copy_is_no_copy_to_come_back_to():
    pins = swap_pins(dailies(30, unsound={10, 9, 8}), [SWAP])
    assert pins == {11: ("before swap to A2-0111",), 7: ("after swap to A2-0111",)}


def test_a_copy_between_two_swaps_is_pinned_by_both():
    later = Swap("swap to A2-0112", NOON - 8 * DAY - DAY / 2, NOON - 8 * DAY - DAY / 2)
    pins = swap_pins(dailies(30), [SWAP, later])
    assert pins[9] == ("after swap to A2-0111", "before swap to A2-0112")


def test_a_swap_without_a_copy_on_one_side_pins_the_other():
    pins = swap_pins(dailies(5), [SWAP])
    assert pins == {4: ("after swap to A2-0111",)}


def test_a_key_has_reached_everyone_when_all_were_heard_since():
    assert reached_everyone(NOON, [NOON, NOON + DAY], left=[])


@pytest.mark.parametrize(
    ("heard", "left"),
    [
        ([NOON, NOON - DAY], []),
        ([NOON, None], []),
        ([], []),
        ([NOON], [NOON + DAY]),
    ],
    ids=["one only before", "one never said", "no devices", "one missing since"],
)
def test_a_key_has_not_reached_everyone(heard, left):
    assert not reached_everyone(NOON, heard, left)


def test_a_device_that_left_before_the_new_key_is_not_waited_for():
    assert reached_everyone(NOON, [NOON], left=[NOON - DAY])
