"""Slips that would explain a mismatch, tried on a check that anybody can follow: the digits must be the right ones."""

import pytest

from fleet.mesh.slips import Slip, slips_in

RIGHT = "2468ACE0"


def slips(typed: str) -> dict[Slip, set[int]]:
    return slips_in(typed, lambda tried: tried == RIGHT)


@pytest.mark.parametrize(
    ("typed", "slip", "groups"),
    [
        ("246BACE0", Slip.ALIKE, {1}),
        ("2468ACED", Slip.ALIKE, {2}),
        ("2568ACE0", Slip.DIGIT, {1}),
        ("2468AC00", Slip.DIGIT, {2}),
        ("4268ACE0", Slip.SWAPPED, {1}),
        ("246A8CE0", Slip.SWAPPED, {1, 2}),
        ("268ACE0", Slip.MISSING, {1}),
        ("2468ACE", Slip.MISSING, {2}),
        ("2F468ACE0", Slip.EXTRA, {1}),
        ("2468ACE0F", Slip.EXTRA, {3}),
    ],
)
def test_one_slip_is_found_with_its_group(typed: str, slip: Slip, groups: set[int]) -> None:
    assert slips(typed) == {slip: groups}


def test_a_digit_typed_twice_over_an_edge_may_stand_in_either_group() -> None:
    assert slips("24688ACE0") == {Slip.EXTRA: {1, 2}}


@pytest.mark.parametrize("typed", ["", "2568ACE1", "42680CE0", "68ACE0", "0ECA8642"])
def test_more_than_one_slip_is_not_guessed_at(typed: str) -> None:
    assert slips(typed) == {}


def test_every_slip_that_would_explain_it_is_named_likeliest_first() -> None:
    found = slips_in("1F", lambda tried: tried in {"7F", "F1", "1E"})

    assert list(found) == [Slip.ALIKE, Slip.DIGIT, Slip.SWAPPED]
