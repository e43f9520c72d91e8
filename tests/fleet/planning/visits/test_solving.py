from datetime import date, timedelta

import pytest

from fleet.planning.estimating import ThreePoints
from fleet.planning.reach import Position
from fleet.planning.visits.budget import Budget
from fleet.planning.visits.checking import breaches
from fleet.planning.visits.matrix import ByMatrix
from fleet.planning.visits.request import Licence, Request, Rule
from fleet.planning.visits.solving import make_plan
from fleet.planning.visits.span import VisitError
from tests.fleet.planning.visits.worlds import (
    ALWAYS,
    MONDAY,
    STEADY,
    at,
    budget,
    random_request,
    real_week,
    request,
    span,
    technician,
    visit,
)

TUESDAY = "2027-03-23"
TWO_DAYS = (span("2027-03-22 08:00", "16:00"), span(f"{TUESDAY} 08:00", "16:00"))
ANY_DAY = (span("2027-03-22 06:00", "20:00"), span(f"{TUESDAY} 06:00", "20:00"))


def who(plan):
    return {stop.visit: day.technician for day, stop in plan.stops}


def reasons(plan):
    return {left.visit: [(one.rule, one.technician) for one in left.obstacles] for left in plan.left_out}


def test_the_licensed_technician_is_sent():
    world = request(
        [technician("NOOR", licences=(ALWAYS,)), technician("PEKKA", base=Position(60.0, 10.75))],
        [visit("V1", licences=frozenset(["mains"]))],
    )
    assert who(make_plan(world, budget())) == {"V1": "NOOR"}


def test_a_licence_that_ends_is_used_while_it_lasts():
    ends = Licence("mains", date(2020, 1, 1), MONDAY)
    world = request(
        [technician(days=TWO_DAYS, licences=(ends,))],
        [visit("V1", windows=ANY_DAY, licences=frozenset(["mains"])), visit("V2", windows=ANY_DAY)],
    )
    plan = make_plan(world, budget())
    assert [stop.begin.date() for _, stop in plan.stops if stop.visit == "V1"] == [MONDAY]


def test_parts_on_the_van_last_for_all_days_together():
    stops = [
        visit(name, windows=ANY_DAY, parts={"P": 1}, minutes=ThreePoints.exactly(200)) for name in "ABCD"
    ]
    plan = make_plan(request([technician(days=TWO_DAYS, parts={"P": 3})], stops), budget())
    assert len(plan.stops) == 3
    assert list(reasons(plan).values()) == [[(Rule.PART, "NOOR")]]


def test_the_dearer_visit_is_made_when_one_must_be_left_out():
    stops = [
        visit(name, minutes=ThreePoints.exactly(400), value=value) for name, value in (("A", 1), ("B", 3))
    ]
    plan = make_plan(request([technician()], stops), budget())
    assert list(who(plan)) == ["B"]


def test_the_technician_who_was_there_before_comes_again_when_it_costs_little():
    team = [technician("NOOR"), technician("PEKKA", base=Position(59.92, 10.75))]
    assert who(make_plan(request(team, [visit(before="NOOR")]), budget())) == {"V1": "NOOR"}
    assert who(make_plan(request(team, [visit(before=None)]), budget())) == {"V1": "PEKKA"}


def test_pins_stay():
    team = [technician("NOOR"), technician("PEKKA", base=Position(60.0, 10.75))]
    plan = make_plan(request(team, [visit(pinned_to="NOOR", pinned_at=at("2027-03-22 13:07"))]), budget())
    ((day, stop),) = plan.stops
    assert (day.technician, stop.begin) == ("NOOR", at("2027-03-22 13:07"))


def test_a_pin_that_breaks_a_rule_is_left_out_with_the_rule():
    plan = make_plan(
        request(
            [technician(), technician("PEKKA", licences=(ALWAYS,))],
            [visit(licences=frozenset(["mains"]), pinned_to="NOOR")],
        ),
        budget(),
    )
    assert reasons(plan) == {"V1": [(Rule.LICENCE, "NOOR"), (Rule.PIN, "PEKKA")]}


def test_an_impossible_window_is_named():
    plan = make_plan(request([technician()], [visit(windows=(span("2027-03-22 18:30", "20:00"),))]), budget())
    assert reasons(plan) == {"V1": [(Rule.HOURS, "NOOR")]}
    assert "does not work while HOME-V1 is open" in plan.left_out[0].obstacles[0].because


def test_a_window_that_is_too_short_is_named():
    plan = make_plan(request([technician()], [visit(windows=(span("2027-03-22 10:00", "10:59"),))]), budget())
    assert plan.left_out[0].obstacles[0].because == "V1 takes 60 minutes; no window of HOME-V1 is that long."


def test_two_people_are_there_in_the_same_minutes():
    team = [technician("NOOR", licences=(ALWAYS,)), technician("PEKKA"), technician("LUCIA")]
    stops = [
        visit("V0", people=2, licences=frozenset(["mains"])),
        *(visit(f"V{name}") for name in range(1, 8)),
    ]
    plan = make_plan(request(team, stops), budget())
    both = [
        (day.technician, stop.lead, stop.begin, stop.end) for day, stop in plan.stops if stop.visit == "V0"
    ]
    assert not plan.left_out
    assert [row[2:] for row in both] == [both[0][2:]] * 2
    assert next(row[0] for row in both if row[1]) == "NOOR"


def test_what_it_costs_that_two_must_meet_is_told():
    team = [technician("NOOR"), technician("PEKKA", base=Position(59.5, 10.75))]
    plan = make_plan(request(team, [visit(people=2)]), budget())
    ways = [day.travel / timedelta(minutes=1) * 10 for day in plan.days]
    # The nearer of both would go alone; the other's whole way is the price.
    assert plan.together_weight == max(ways)


def test_nobody_goes_alone_to_what_takes_two():
    plan = make_plan(request([technician()], [visit(people=2)]), budget())
    assert (plan.days, reasons(plan)) == ((), {"V1": [(Rule.PEOPLE, "")]})


def test_a_matrix_that_lacks_a_way_is_refused_before_anything_is_planned():
    with pytest.raises(VisitError, match="no way from NOOR to HOME-V1"):
        make_plan(Request((technician(),), (visit(),), ByMatrix(STEADY, {})), budget())


def test_ways_of_one_direction_are_driven_in_the_cheap_one():
    cheap = [("NOOR", "HOME-A"), ("HOME-A", "HOME-B"), ("HOME-B", "NOOR")]
    pairs = dict.fromkeys(cheap, 10) | {(two, one): 50 for one, two in cheap}
    plan = make_plan(Request((technician(),), (visit("B"), visit("A")), ByMatrix(STEADY, pairs)), budget())
    assert [stop.visit for _, stop in plan.stops] == ["A", "B"]


def test_better_answers_are_told_as_they_come_and_each_may_be_driven():
    world = random_request(4, days=3, people=4, visits=30)
    heard = []
    plan = make_plan(world, budget(200), heard.append)
    weights = [answer.weight for answer in heard]
    assert weights
    assert weights == sorted(weights, reverse=True)
    assert plan.weight <= weights[-1]
    assert [breaches(world, answer) for answer in heard] == [[]] * len(heard)


def test_with_visits_of_two_the_last_answer_is_no_worse_than_any_that_was_told():
    world = real_week(3, technicians=3, visits=26)
    assert any(stop.people == 2 for stop in world.visits)
    heard = []
    plan = make_plan(world, budget(30), heard.append)
    assert plan.weight <= min(answer.weight for answer in heard)
    assert [breaches(world, answer) for answer in [*heard, plan]] == [[]] * (len(heard) + 1)


def test_the_same_seed_gives_the_same_plan():
    world = random_request(4, days=2, people=3, visits=15)
    assert make_plan(world, budget(100)) == make_plan(world, budget(100))


def test_progress_is_told_and_the_time_is_kept():
    ticks = iter(range(10_000))
    heard = []
    # A clock that goes a second each time it is asked: a hundred seconds are a hundred looks at it.
    limit = Budget(100, lambda: float(next(ticks)), on_progress=heard.append)
    make_plan(random_request(4, days=2, people=3, visits=15), limit)
    assert heard == sorted(heard)
    assert heard[-1] > 0.9
    assert next(ticks) < 300


def test_it_can_be_called_off_and_still_answers():
    plan = make_plan(
        random_request(4, days=2, people=3, visits=15), Budget(60, lambda: 0.0, cancelled=lambda: True)
    )
    assert plan.days


def test_no_visits_make_an_empty_plan():
    plan = make_plan(request([technician()], []), budget())
    assert (plan.days, plan.left_out, plan.gap) == ((), (), None)


def test_no_technicians_leave_everything_out():
    plan = make_plan(request([], [visit()]), budget())
    assert reasons(plan) == {"V1": [(Rule.PEOPLE, "")]}


def test_nothing_at_all_is_refused():
    with pytest.raises(VisitError, match="no day to plan"):
        make_plan(request([], []), budget())


def test_a_code_that_is_there_twice_is_refused():
    with pytest.raises(VisitError, match="visit V1 is there twice"):
        request([technician()], [visit(), visit()])
