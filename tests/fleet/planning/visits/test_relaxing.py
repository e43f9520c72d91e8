from dataclasses import replace
from datetime import timedelta

import pytest

from fleet.planning.estimating import ThreePoints
from fleet.planning.visits.checking import breaches
from fleet.planning.visits.matrix import ByMatrix
from fleet.planning.visits.plan import Plan
from fleet.planning.visits.relaxing import what_would_give
from fleet.planning.visits.request import Conditions, Request, Rule
from fleet.planning.visits.solving import make_plan
from fleet.planning.visits.span import VisitError
from tests.fleet.planning.visits.worlds import ALWAYS, MONDAY, STEADY, at, budget, span, technician, visit


def asked(stops, *team):
    """Every way takes 15 minutes."""
    team = team or (technician(),)
    places = [one.code for one in team] + [stop.home for stop in stops]
    ways = {(one, two): 15 for one in places for two in places if one != two}
    return Request(tuple(team), tuple(stops), ByMatrix(STEADY, ways))


def gives(*stops, team=()):
    """What would have to give for the one visit that is left out."""
    world = asked(stops, *team)
    plan = make_plan(world, budget())
    (left,) = plan.left_out
    return [(give.rule, give.technician, give.minutes) for give in what_would_give(world, plan, left.visit)]


def test_a_window_that_closes_too_soon_must_give_so_many_minutes():
    # There at 08:15 at the soonest, done at 09:15; the window ends at 09:00.
    assert gives(visit(windows=(span("2027-03-22 07:30", "09:00"),)))[0] == (Rule.WINDOW, "", 15)


def test_a_window_that_is_too_short_must_give_the_rest():
    # 60 minutes of work in a window of 50.
    assert gives(visit(windows=(span("2027-03-22 10:00", "10:50"),))) == [(Rule.WINDOW, "", 10)]


def test_the_end_that_must_give_is_named():
    world = asked([visit(windows=(span("2027-03-22 07:30", "09:00"),))])
    (give, *_) = what_would_give(world, make_plan(world, budget()), "V1")
    assert give.because == "The window of HOME-V1 of 2027-03-22 07:30 must end later by 15 minutes."


def test_a_longer_day_is_offered_by_the_minute():
    # 08:00, 15 there, 520 of work, a pause of 30, 15 home: 17:40; the hour of overtime ends at 17:00.
    found = gives(visit(minutes=ThreePoints.exactly(520)))
    assert (Rule.HOURS, "NOOR", 40) in found


def test_a_missing_licence_is_named_with_whom():
    assert gives(visit(licences=frozenset(["mains"]))) == [(Rule.LICENCE, "NOOR", None)]


def test_a_missing_part_is_named_with_whom():
    assert gives(visit(parts={"P": 1}), team=(technician("NOOR"), technician("PEKKA"))) == [
        (Rule.PART, "NOOR", None),
        (Rule.PART, "PEKKA", None),
    ]


def test_a_part_that_other_visits_use_up_is_named():
    stops = [visit("A", parts={"P": 1}), visit("B", parts={"P": 1})]
    assert gives(*stops, team=(technician(parts={"P": 1}),)) == [(Rule.PART, "NOOR", None)]


def test_frost_is_offered_to_whoever_answers_for_it():
    cold = Conditions(
        frost_limit_c=0, lowest_c={MONDAY: -3, MONDAY - timedelta(days=1): -3, MONDAY + timedelta(days=1): -3}
    )
    assert (Rule.FROST, "", None) in gives(visit(conditions=cold))


def test_a_missing_second_person_is_named():
    assert gives(visit(people=2)) == [(Rule.PEOPLE, "", None)]


def test_a_pin_is_offered():
    assert (Rule.PIN, "", None) in gives(visit(pinned_at=at("2027-03-22 05:00")))


def test_two_things_that_are_missing_are_not_one_thing():
    assert gives(visit(licences=frozenset(["mains"]), skills=frozenset(["locks"]))) == []


@pytest.mark.parametrize("minutes", [9, 10])
def test_the_least_is_enough_and_one_minute_less_is_not(minutes):
    stop = visit(windows=(span("2027-03-22 10:00", "10:50"),))
    wider = replace(stop.windows[0], end=stop.windows[0].end + timedelta(minutes=minutes))
    plan = make_plan(asked([replace(stop, windows=(wider,))]), budget())
    assert bool(plan.stops) is (minutes == 10)


def test_what_a_licence_would_give_can_be_driven():
    world = asked([visit(licences=frozenset(["mains"]))], technician(licences=(ALWAYS,)))
    plan = make_plan(world, budget())
    assert (len(plan.stops), breaches(world, plan)) == (1, [])


def test_a_visit_beside_an_empty_plan_is_answered_too():
    world = asked([visit(windows=(span("2027-03-22 07:30", "09:00"),))])
    assert what_would_give(world, Plan((), (), 0), "V1")[0].minutes == 15


def test_a_plan_that_a_rule_has_overtaken_is_refused():
    world = asked([visit("A"), visit("B", minutes=ThreePoints.exactly(600))])
    plan = make_plan(world, budget())
    cold = Conditions(frost_limit_c=0, lowest_c={MONDAY: -3})
    later = replace(world, visits=(replace(world.visits[0], conditions=cold), world.visits[1]))
    with pytest.raises(VisitError, match="day of NOOR from 2027-03-22 07:00 UTC on breaks a rule; plan anew"):
        what_would_give(later, plan, "B")
