from dataclasses import replace
from datetime import timedelta
from random import Random

import pytest

from fleet.planning.estimating import ThreePoints
from fleet.planning.reach import Position
from fleet.planning.visits.checking import breaches
from fleet.planning.visits.durations import Walk, visit_minutes
from fleet.planning.visits.joining import Task, TaskKind, join_tasks
from fleet.planning.visits.request import Conditions, Rule
from fleet.planning.visits.solving import make_plan
from fleet.planning.visits.span import Span, VisitError
from tests.fleet.planning.visits.worlds import at, budget, request, technician, visit

MONDAY = at("2027-03-22 00:00")
NO_WALK = Walk()
KINDS = (TaskKind.SWAP, TaskKind.UPDATE, TaskKind.DRILL)


def task(code="A", home="KELP-7", first=0, due=10, walk=NO_WALK, **changes):
    """A task of half an hour, from one day to another after Monday, by day from eight to four."""
    days = [MONDAY + timedelta(days=count) for count in range(21)]
    windows = tuple(Span(day + timedelta(hours=8), day + timedelta(hours=16)) for day in days)
    stop = visit(code, home=home, windows=windows, minutes=ThreePoints.exactly(30))
    return Task(
        TaskKind.DRILL,
        replace(stop, **changes),
        walk,
        MONDAY + timedelta(days=first),
        MONDAY + timedelta(days=due),
    )


def joined(*tasks):
    return [stop.tasks for stop in join_tasks(tasks)]


def test_a_walk_takes_half_a_minute_a_node_and_two_more_a_button():
    # t = base + 0.5 n + 2 n_button, trade rule C15: 45 + 0.5 * 48 + 2 * 7 = 83.
    assert visit_minutes(ThreePoints(30, 45, 90), Walk(48, 7)) == ThreePoints(68, 83, 128)


def test_a_drill_a_swap_and_an_update_become_one_stop():
    assert joined(task("A"), task("B"), task("C")) == [("A", "B", "C")]


def test_other_homes_stay_apart():
    assert joined(task("A"), task("B", home="FERN-2")) == [("B",), ("A",)]


def test_what_may_not_be_done_yet_when_the_first_is_due_waits():
    assert joined(task("A", due=3), task("B", first=4), task("C", first=2)) == [("A", "C"), ("B",)]


def test_windows_that_never_meet_keep_tasks_apart():
    morning = (Span(at("2027-03-22 08:00"), at("2027-03-22 09:00")),)
    evening = (Span(at("2027-03-22 15:00"), at("2027-03-22 16:00")),)
    assert joined(task("A", windows=morning), task("B", windows=evening)) == [("A",), ("B",)]


def test_a_window_too_short_for_both_keeps_them_apart():
    hour = (Span(at("2027-03-22 08:00"), at("2027-03-22 08:50")),)
    assert joined(task("A", windows=hour), task("B", windows=hour)) == [("A",), ("B",)]


def test_tasks_pinned_to_two_people_stay_apart():
    assert joined(task("A", pinned_to="NOOR"), task("B", pinned_to="PEKKA")) == [("A",), ("B",)]


def test_work_adds_up_and_the_walk_is_gone_once():
    (stop,) = join_tasks([task("A", walk=Walk(40)), task("B", walk=Walk(10, 20))])
    # 30 + 30, and the longer walk: 0.5 * 10 + 2 * 20.
    assert stop.minutes.likely == 105


def test_a_stop_needs_what_any_of_its_tasks_needs():
    one = task("A", licences=frozenset(["mains"]), parts={"P": 1}, value=2.0)
    two = task("B", skills=frozenset(["locks"]), parts={"P": 1, "Q": 1}, people=2, value=1.0)
    (stop,) = join_tasks([one, two])
    assert (stop.licences, stop.skills, stop.parts, stop.people, stop.value) == (
        {"mains"},
        {"locks"},
        {"P": 2, "Q": 1},
        2,
        3.0,
    )


def test_the_strictest_condition_holds_and_a_waiver_must_be_for_all():
    waived = Conditions(frost_limit_c=-2, waived={Rule.FROST: "O. Hentsch"})
    (stop,) = join_tasks(
        [task("A", conditions=waived), task("B", conditions=Conditions(frost_limit_c=1, daylight=True))]
    )
    assert (stop.conditions.frost_limit_c, stop.conditions.daylight, stop.conditions.waived) == (1, True, {})


def test_a_stop_is_due_when_its_first_task_is():
    (stop,) = join_tasks([task("A", due=9), task("B", due=5)])
    assert stop.due == MONDAY + timedelta(days=5)


def test_a_task_that_is_due_before_it_may_begin_is_refused():
    with pytest.raises(VisitError, match="must be after"):
        task(first=3, due=3)


def test_thirty_tasks_in_twelve_homes_become_fourteen_trips_and_none_is_late():
    """Trade row P10. Two of the homes have a task that may not be done with the others."""
    dice = Random(10)
    homes = [f"HOME-{number}" for number in range(12)]
    tasks = [
        task(
            f"{KINDS[number // 12]}-{number}",
            homes[number % 12],
            due=dice.randint(9, 12),
            place=place(number % 12),
        )
        for number in range(28)
    ]
    tasks += [
        task(f"late-{number}", homes[number], first=13, due=18, place=place(number)) for number in (3, 7)
    ]
    stops = join_tasks(tasks)
    days = tuple(
        Span(MONDAY + timedelta(days=count, hours=8), MONDAY + timedelta(days=count, hours=16))
        for count in range(18)
    )
    world = request([technician("NOOR", days=days), technician("PEKKA", days=days)], stops)
    plan = make_plan(world, budget(150))
    assert len(tasks) == 30
    assert len(plan.stops) <= 14
    assert sorted(code for _, stop in plan.stops for code in world.visit(stop.visit).tasks) == sorted(
        one.visit.code for one in tasks
    )
    due = {one.visit.code: one.due for one in tasks}
    assert all(stop.end <= due[code] for _, stop in plan.stops for code in world.visit(stop.visit).tasks)
    assert breaches(world, plan) == []


def place(number):
    return Position(59.8 + 0.02 * number, 10.6 + 0.03 * (number % 4))
