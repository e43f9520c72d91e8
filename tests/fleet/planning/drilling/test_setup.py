import pytest

from fleet.planning.drilling.setup import Bench, Setup, why_not_there
from fleet.planning.reach import Position

HOME = Position(68.15, 14.2)
WORKSHOP = Position(55.04, -1.52)
# A hundredth of a degree of latitude is 1,112 m on the mean sphere (IUGG R1): 0.004 is 445 m, 0.005 is 556 m.
NEAR, FAR = Position(68.154, 14.2), Position(68.155, 14.2)


def said(setup=Setup.SHIELDED, nothing=True, position=WORKSHOP, in_the_home=False, home=HOME):
    return why_not_there(Bench(setup, nothing, "Bench shelf", position, in_the_home), home)


@pytest.mark.parametrize("setup", [Setup.SHIELDED, Setup.DISCONNECTED])
def test_a_bench_far_away_that_radiates_nothing_will_do(setup):
    assert said(setup) == ""


@pytest.mark.parametrize("setup", list(Setup))
def test_in_the_home_itself_no_set_up_will_do(setup):
    assert "within reach of the mesh on air" in said(setup, in_the_home=True)


@pytest.mark.parametrize("setup", list(Setup))
def test_within_reach_of_the_home_no_set_up_will_do(setup):
    assert said(setup, position=NEAR) == (
        "place: Bench shelf is 445 m from the home, within reach of the mesh on air; right is 500 m or more."
    )
    assert "within reach" not in said(setup, position=FAR)


def test_on_air_is_refused_wherever_it_is():
    assert said(Setup.ON_AIR).startswith("setup: on air is no drill, wherever it is")


@pytest.mark.parametrize("position", [WORKSHOP, None], ids=["known", "unknown"])
def test_that_nothing_radiates_must_be_said(position):
    assert said(nothing=False, position=position).startswith("nothing_radiates: say that nothing radiates")


def test_a_place_that_nobody_entered_rests_on_what_is_said():
    assert said(position=None) == ""
    assert said(home=None) == ""
