"""The sentence that answers what was supposed."""

from decimal import Decimal

import pytest

from fleet.planning.capabilities import FirmwareState
from fleet.planning.outage import NotCounted, Yearly
from fleet.planning.readiness import State
from fleet.planning.service_years import Build, Served, rate_of
from fleet.planning.supposed_stays import FAR, NO_FIT
from fleet.planning.supposed_tally import Tally
from fleet.planning.supposing import AddedSpare, SupposedPolicy, Supposition
from fleet.planning.supposing_words import at_most, figure, headline, in_words, rate_in_words, staying

NAMES = {"C3": "Cedar C3", "SHELF-1": "the workshop"}
TWO = AddedSpare("C3", "R3.14", 2, "SHELF-1", Decimal(50))


def mesh(was: State, becomes: State, before: float = 1.0, after: float = 1.0) -> Tally:
    return Tally.of(was, becomes, Yearly(before, before * 30), Yearly(after, after * 30))


def summed(*parts: Tally) -> Tally:
    return sum(parts, Tally())


def test_the_headline_says_who_is_lifted_and_the_hours_of_a_year():
    tally = summed(mesh(State.BARE, State.COVERED, 7.4, 4.1), mesh(State.THIN, State.THIN, 5.0, 5.0))
    words = in_words(Supposition(added=(TWO,)), NAMES)
    assert headline(words, tally) == (
        "With 2 more Cedar C3 R3.14 at the workshop, 1 mesh is no longer bare; "
        "12.4 \N{RIGHTWARDS ARROW} 9.1 hours of outage expected a year."
    )


@pytest.mark.parametrize(
    ("parts", "told"),
    [
        ([(State.THIN, State.THIN)], "no mesh changes state"),
        ([(State.BARE, State.THIN), (State.BARE, State.COVERED)], "2 meshes are no longer bare"),
        ([(State.BARE, State.THIN), (State.THIN, State.COVERED)], "2 meshes are better off"),
        ([(State.COVERED, State.THIN)], "1 mesh becomes thin"),
        ([(State.COVERED, State.THIN), (State.COVERED, State.BARE)], "2 meshes are worse off"),
        (
            [
                (State.BARE, State.THIN),
                (State.COVERED, State.THIN),
                (State.COVERED_WITH_HANDWORK, State.THIN),
            ],
            "1 mesh is no longer bare and 2 meshes become thin",
        ),
    ],
)
def test_who_changes_state_is_counted_both_ways(parts, told):
    tally = summed(*(mesh(*part) for part in parts))
    assert f"With x, {told}; " in headline("x", tally)


def test_hours_that_do_not_change_are_said_once():
    assert headline("x", mesh(State.THIN, State.BARE, 2.0, 2.0)).endswith(
        "2.0 hours of outage expected a year, as before."
    )


def test_hours_that_differ_little_are_told_apart():
    assert "2.00 \N{RIGHTWARDS ARROW} 1.99 hours" in headline("x", mesh(State.THIN, State.THIN, 1.999, 1.99))


def test_where_nothing_can_be_counted_no_hours_are_said():
    tally = Tally.of(State.BARE, State.BARE, NotCounted.NO_WAIT, NotCounted.NO_WAIT)
    assert headline("x", tally).endswith("no hours of outage can be counted.")


@pytest.mark.parametrize(
    ("value", "told"), [(0.0, "0.0"), (0.004, "0.004"), (0.3, "0.3"), (1234.56, "1,234.6")]
)
def test_little_is_never_written_as_nothing(value, told):
    assert figure(value) == told


@pytest.mark.parametrize(
    ("value", "told"), [(0.0203, "0.021"), (2.4965, "2.5"), (73.19, "73.2"), (191.0, "191.0"), (0.5, "0.50")]
)
def test_a_bound_is_never_understated(value, told):
    assert at_most(value) == told


def test_no_failure_shows_the_bound_and_never_nothing():
    """0 in 120 radio-years: upper bound 0.0250 (trade rule C12)."""
    build = Build("R", "C3", "R3.14")
    rate = rate_of(build, {build: Served(0, 120.0)})
    tally = Tally.of(State.BARE, State.THIN, Yearly(2.0, 60.0), Yearly(1.0, 30.0), rate)
    told = "C3 R3.14: 0 failed in 120.0 radio-years, so at most 2.5 of 100 a year"
    assert rate_in_words(tally.rates_used[0]) == told


def test_everything_supposed_is_said():
    change = Supposition(
        added=(TWO,),
        taken=("A2-0201", "A2-0202"),
        drill_days=1,
        point_hours=24,
        policies=(SupposedPolicy("C3", "R3.14", FirmwareState.HOLD),),
    )
    assert in_words(change, NAMES) == (
        "2 more Cedar C3 R3.14 at the workshop, A2-0201 and A2-0202 gone, a drill every 1 day, "
        "a recovery point of 24 hours and Cedar C3 R3.14 on hold"
    )


def test_what_stays_is_one_line_worst_first():
    parts = (
        [(State.COVERED, State.COVERED)] * 9 + [(State.BARE, State.BARE)] * 2 + [(State.THIN, State.COVERED)]
    )
    assert staying(summed(*(mesh(*part) for part in parts))) == "2 bare and 9 covered"


def test_a_mesh_that_is_counted_on_one_side_only_is_in_no_sum():
    tally = summed(
        mesh(State.THIN, State.THIN, 3.0, 3.0),
        Tally.of(State.BARE, State.COVERED, NotCounted.NO_WAIT, Yearly(2.0, 60.0)),
    )
    assert (tally.counted, tally.hours_before, tally.hours_after) == (1, 3.0, 3.0)
    assert tally.left_out == {str(NotCounted.NO_WAIT): 1}


def test_sums_are_the_same_however_they_were_split_and_kept():
    build = Build("R", "C3", "R3.14")
    rate = rate_of(build, {build: Served(1, 40.0)})
    one = Tally.of(State.BARE, State.THIN, Yearly(2.0, 60.0), Yearly(1.0, 30.0), rate)
    kept = Tally(**one.as_data()) + one
    assert kept == one + one
    assert (kept.meshes, kept.changed, kept.hours_after) == (2, 2, 2.0)
    assert (kept.rates_used[0].of, kept.rates_used[0].meshes) == ("C3 R3.14", 2)


def test_meshes_that_keep_their_state_but_not_their_hours_are_counted():
    tally = summed(mesh(State.THIN, State.THIN, 3.0, 2.0), mesh(State.BARE, State.THIN, 3.0, 2.0))
    assert tally.shifted == 1


def kept(why, minutes=None):
    return mesh(State.BARE, State.BARE).kept_by(why, minutes)


@pytest.mark.parametrize(
    ("parts", "told"),
    [
        ([kept(FAR, 360.0)], "the nearest added spare is 6 hours away from the mesh that lacks one"),
        (
            [kept(FAR, 600.0), kept(FAR, 360.0)],
            "the nearest added spare is 6 hours away from the 2 meshes that lack one",
        ),
        ([kept(NO_FIT)], "no added spare fits the mesh that lacks one"),
        (
            [kept("No drill was passed in time"), kept("No drill was passed in time"), kept(NO_FIT)],
            "2 meshes fail a gate that this does not lift (no drill was passed in time) and no added spare fits "
            "the mesh that lacks one",
        ),
        ([mesh(State.COVERED, State.COVERED)], "every one is covered already"),
    ],
)
def test_that_no_mesh_changes_state_comes_with_its_reason(parts, told):
    assert f"With x, no mesh changes state: {told}; " in headline("x", summed(*parts))


def test_a_reason_is_said_only_where_none_changes():
    assert "fits" not in headline("x", summed(kept(NO_FIT), mesh(State.BARE, State.THIN)))
