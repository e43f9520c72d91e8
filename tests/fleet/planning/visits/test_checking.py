"""The checker is tried on plans that were made wrong on purpose, one rule at a time."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from fleet.planning.visits.checking import breaches
from fleet.planning.visits.request import Conditions, Licence, RestRules, Rule
from fleet.planning.visits.solving import make_plan
from tests.fleet.planning.visits.worlds import MONDAY, at, budget, request, span, technician, visit

HOUR = timedelta(hours=1)
TWO_DAYS = (span("2027-03-22 08:00", "16:00"), span("2027-03-23 08:00", "16:00"))
STOPS = [visit("A"), visit("B")]
NOOR = technician()
SOUND = request([NOOR], STOPS)
PLAN = make_plan(SOUND, budget())


def broken(world, plan=PLAN):
    return {breach.rule for breach in breaches(world, plan)}


def with_visit(**changes):
    return request([NOOR], [replace(STOPS[0], **changes), STOPS[1]])


def with_person(**changes):
    return request([replace(NOOR, **changes)], STOPS)


def shifted(by, plan=PLAN):
    """The same plan, all of it later."""
    days = [
        replace(
            day,
            leave=day.leave + by,
            back=day.back + by,
            stops=tuple(
                replace(
                    stop,
                    leave=stop.leave + by,
                    arrive=stop.arrive + by,
                    begin=stop.begin + by,
                    end=stop.end + by,
                )
                for stop in day.stops
            ),
        )
        for day in plan.days
    ]
    return replace(plan, days=tuple(days))


def with_stop(number=0, **changes):
    (day,) = PLAN.days
    stops = list(day.stops)
    stops[number] = replace(stops[number], **changes)
    return replace(PLAN, days=(replace(day, stops=tuple(stops)),))


def test_a_sound_plan_breaks_nothing():
    assert broken(SOUND) == set()


BEGIN = PLAN.days[0].stops[0].begin


@pytest.mark.parametrize(
    ("world", "rule"),
    [
        (with_visit(licences=frozenset(["mains"])), Rule.LICENCE),
        (with_visit(skills=frozenset(["locks"])), Rule.SKILL),
        (with_visit(parts={"P": 1}), Rule.PART),
        (with_visit(people=2), Rule.PEOPLE),
        (with_visit(windows=(span("2027-03-22 18:00", "20:00"),)), Rule.WINDOW),
        (with_visit(pinned_to="PEKKA"), Rule.PIN),
        (with_visit(pinned_at=BEGIN + HOUR), Rule.PIN),
        (with_visit(conditions=Conditions(frost_limit_c=0, lowest_c={MONDAY: -3})), Rule.FROST),
        (with_visit(conditions=Conditions(not_before_weekend=True, country="SA")), None),
        (with_person(days=(span("2027-03-22 14:00", "20:00"),)), Rule.HOURS),
        (with_person(days=(span("2027-03-22 08:00", "09:00"),)), Rule.HOURS),
        (with_person(rest=RestRules(longest_day=HOUR)), Rule.HOURS),
        (with_person(rest=RestRules(pause_within=2 * HOUR)), Rule.PAUSE),
    ],
)
def test_a_rule_that_the_plan_did_not_know_is_found(world, rule):
    assert broken(world) == ({rule} if rule else set())


def test_a_licence_of_yesterday_is_found():
    yesterday = Licence("mains", date(2020, 1, 1), MONDAY - timedelta(days=1))
    world = request(
        [replace(NOOR, licences=(yesterday,))], [replace(STOPS[0], licences=frozenset(["mains"])), STOPS[1]]
    )
    assert broken(world) == {Rule.LICENCE}


def test_a_swap_on_a_friday_is_found():
    world = request(
        [replace(NOOR, days=(span("2027-04-02 08:00", "16:00"),))],
        [
            visit(
                "A",
                windows=(span("2027-04-02 06:00", "20:00"),),
                conditions=Conditions(not_before_weekend=True, country="NP"),
            )
        ],
    )
    loose = replace(world, visits=(replace(world.visits[0], conditions=Conditions()),))
    assert broken(world, make_plan(loose, budget())) == {Rule.WEEKEND}


def test_roof_work_in_the_dark_is_found():
    dark = {"windows": (span("2027-12-20 06:00", "20:00"),), "pinned_at": at("2027-12-20 17:00")}
    world = request([technician(days=(span("2027-12-20 10:00", "20:00"),))], [visit("A", **dark)])
    wanted = replace(world, visits=(replace(world.visits[0], conditions=Conditions(daylight=True)),))
    assert broken(wanted, make_plan(world, budget())) == {Rule.DAYLIGHT}


def test_a_way_that_is_too_short_is_found():
    stop = PLAN.days[0].stops[0]
    assert broken(SOUND, with_stop(arrive=stop.arrive - timedelta(minutes=2))) == {Rule.WAY}


def test_leaving_before_the_stop_is_over_is_found():
    stop = PLAN.days[0].stops[1]
    assert Rule.WAY in broken(SOUND, with_stop(1, leave=stop.leave - timedelta(minutes=2)))


def test_work_that_is_too_short_is_found():
    stop = PLAN.days[0].stops[1]
    assert Rule.WAY in broken(SOUND, with_stop(1, begin=stop.begin + timedelta(minutes=2)))


def test_a_day_after_hours_is_found():
    assert broken(SOUND, shifted(7 * HOUR)) == {Rule.HOURS}


def test_a_night_that_is_too_short_is_found():
    stops = [
        visit("A", windows=(span("2027-03-22 14:00", "16:00"),)),
        visit("B", windows=(span("2027-03-23 08:00", "10:00"),)),
    ]
    world = request([technician(days=TWO_DAYS)], stops)
    strict = replace(world, technicians=(technician(days=TWO_DAYS, rest=RestRules(between_days=20 * HOUR)),))
    assert broken(strict, make_plan(world, budget())) == {Rule.REST}


def test_two_who_come_at_different_times_are_found():
    world = request([NOOR, technician("PEKKA")], [visit(people=2)])
    plan = make_plan(world, budget())
    one, two = plan.days
    later = shifted(timedelta(minutes=5), replace(plan, days=(two,))).days
    assert broken(world, replace(plan, days=(one, *later))) == {Rule.PEOPLE}


def test_a_visit_that_is_made_twice_is_found():
    world = request([NOOR, technician("PEKKA")], STOPS)
    (day,) = PLAN.days
    assert broken(world, replace(PLAN, days=(day, replace(day, technician="PEKKA")))) == {Rule.PEOPLE}
