from dataclasses import replace
from datetime import timedelta

import pytest

from fleet.planning.visits.checking import breaches
from fleet.planning.visits.matrix import ByMatrix
from fleet.planning.visits.moving import Goal, move
from fleet.planning.visits.request import Conditions, Request, Rule
from fleet.planning.visits.solving import make_plan
from fleet.planning.visits.span import VisitError
from tests.fleet.planning.visits.worlds import (
    MONDAY,
    STEADY,
    at,
    budget,
    random_request,
    span,
    technician,
    visit,
)

NINE, NOON, FIVE = (at(f"2027-03-22 {hour}:00") for hour in ("09", "12", "17"))
TEAM = (technician("NOOR"), technician("PEKKA"))
FAR = {("PEKKA", "HOME-A"): 40, ("HOME-A", "PEKKA"): 40}


def world(**changes):
    stops = (replace(visit("A"), **changes), visit("B", pinned_to="NOOR"))
    places = ["NOOR", "PEKKA", "HOME-A", "HOME-B"]
    ways = {(one, two): 15 for one in places for two in places if one != two} | FAR
    return Request(TEAM, stops, ByMatrix(STEADY, ways))


def rules(found):
    return [(breach.rule, breach.visit, breach.technician) for breach in found.broken]


def test_a_move_says_what_it_costs_on_the_road():
    asked = world()
    found = move(asked, make_plan(asked, budget()), "A", Goal("PEKKA", NINE))
    # NOOR saves one way of 15 minutes, PEKKA drives 40 there and 40 back.
    assert (found.travel_minutes, found.broken) == (65, ())


def test_the_plan_after_a_move_may_be_driven():
    asked = world()
    found = move(asked, make_plan(asked, budget()), "A", Goal("PEKKA", NOON))
    assert breaches(asked, found.plan) == []
    assert [(day.technician, stop.begin) for day, stop in found.plan.stops if stop.visit == "A"] == [
        ("PEKKA", NOON)
    ]


def test_a_move_says_lateness_and_overtime():
    asked = world(due=NINE)
    found = move(asked, make_plan(asked, budget()), "A", Goal("NOOR", at("2027-03-22 15:30")))
    # Six and a half hours late; 16:30, and 15 minutes home: 45 minutes over.
    assert (found.late_minutes, found.overtime_minutes) == (390, 45)


def test_a_move_names_the_rule_it_breaks():
    asked = world(pinned_to="NOOR")
    assert rules(move(asked, make_plan(asked, budget()), "A", Goal("PEKKA", NOON))) == [
        (Rule.PIN, "A", "PEKKA")
    ]


def test_a_move_out_of_the_window_names_it():
    asked = world(windows=(span("2027-03-22 08:00", "11:00"),))
    assert rules(move(asked, make_plan(asked, budget()), "A", Goal("NOOR", NOON))) == [
        (Rule.WINDOW, "A", "NOOR")
    ]


def test_a_move_that_pushes_another_visit_out_of_its_window_names_that():
    asked = world()
    asked = replace(
        asked,
        visits=(asked.visits[0], visit("B", pinned_to="NOOR", windows=(span("2027-03-22 13:00", "14:00"),))),
    )
    found = move(asked, make_plan(asked, budget()), "A", Goal("NOOR", at("2027-03-22 12:30")))
    assert rules(found) == [(Rule.WINDOW, "B", "NOOR")]


def test_a_move_that_ends_after_hours_names_them():
    asked = world()
    found = move(asked, make_plan(asked, budget()), "A", Goal("NOOR", at("2027-03-22 16:30")))
    assert rules(found) == [(Rule.HOURS, "", "NOOR")]


def test_a_plan_that_a_rule_has_overtaken_can_still_be_moved_and_names_nothing_old():
    asked = world()
    plan = make_plan(asked, budget())
    cold = Conditions(frost_limit_c=0, lowest_c={MONDAY: -3})
    later = replace(asked, visits=(asked.visits[0], replace(asked.visits[1], conditions=cold)))
    assert [breach.rule for breach in breaches(later, plan)] == [Rule.FROST]
    assert rules(move(later, plan, "A", Goal("PEKKA", NOON))) == []
    assert rules(move(later, plan, "B", Goal("NOOR", NOON))) == [(Rule.FROST, "B", "NOOR")]
    assert rules(move(later, plan, "B", None)) == []


def test_a_visit_can_be_left_out_by_hand():
    asked = world()
    found = move(asked, make_plan(asked, budget()), "A", None)
    assert (found.travel_minutes, [left.visit for left in found.plan.left_out]) == (-15, ["A"])


def test_a_visit_that_was_left_out_can_be_put_in():
    asked = world()
    without = move(asked, make_plan(asked, budget()), "A", None).plan
    found = move(asked, without, "A", Goal("NOOR", NOON))
    assert (found.travel_minutes, found.plan.left_out) == (15, ())


def test_two_people_are_moved_together():
    asked = world(people=2)
    found = move(asked, make_plan(asked, budget()), "A", Goal("PEKKA", NOON, "NOOR"))
    both = [(day.technician, stop.lead, stop.begin) for day, stop in found.plan.stops if stop.visit == "A"]
    assert (found.broken, both) == ((), [("NOOR", False, NOON), ("PEKKA", True, NOON)])


def test_one_person_moved_to_what_takes_two_breaks_the_rule():
    asked = world(people=2)
    found = move(asked, make_plan(asked, budget()), "A", Goal("PEKKA", NOON))
    assert rules(found) == [(Rule.PEOPLE, "A", "")]


def test_a_move_to_where_somebody_does_not_work_is_refused_with_the_windows():
    asked = world()
    with pytest.raises(
        VisitError, match=r"PEKKA does not work at 2027-03-23 09:00; .* 2027-03-22 08:00 to 16:00"
    ):
        move(asked, make_plan(asked, budget()), "A", Goal("PEKKA", NINE + timedelta(days=1)))


def test_a_move_of_an_unknown_visit_is_refused():
    asked = world()
    with pytest.raises(VisitError, match="visit Z is not in this plan"):
        move(asked, make_plan(asked, budget()), "Z", None)


@pytest.mark.parametrize("seed", range(15))
def test_moving_a_visit_to_where_it_is_costs_and_breaks_nothing(seed):
    asked = random_request(seed, days=2, people=3, visits=8)
    plan = make_plan(asked, budget(40))
    for day, stop in plan.stops:
        if stop.with_whom is None:
            found = move(asked, plan, stop.visit, Goal(day.technician, stop.begin))
            # A fixed beginning may turn a pause into a wait, and the way then falls in a quicker hour.
            assert found.weight <= 0, stop.visit
            assert found.broken == (), stop.visit
