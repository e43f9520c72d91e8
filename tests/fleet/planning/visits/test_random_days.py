"""Hard rules over random days; `tests.bench.bench_visits` does 500 of them with more rounds."""

from functools import cache

import pytest

from fleet.planning.visits.checking import breaches
from fleet.planning.visits.plan import Plan
from fleet.planning.visits.request import Request
from fleet.planning.visits.solving import make_plan
from tests.fleet.planning.visits.worlds import budget, random_request

SEEDS = range(60)


@cache
def solved(seed: int) -> tuple[Request, Plan]:
    world = random_request(seed)
    return world, make_plan(world, budget(40, seed))


@pytest.mark.parametrize("seed", SEEDS)
def test_no_random_day_breaks_a_hard_rule(seed):
    assert breaches(*solved(seed)) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_every_visit_is_made_or_has_its_reasons(seed):
    world, plan = solved(seed)
    left = {one.visit for one in plan.left_out}
    assert {stop.visit for _, stop in plan.stops} | left == {one.code for one in world.visits}
    assert all(one.obstacles for one in plan.left_out)


def test_random_days_hold_every_kind_of_stop():
    worlds = [solved(seed) for seed in SEEDS]
    days = [day for _, plan in worlds for day in plan.days]
    stops = [(world.visit(stop.visit), stop) for world, plan in worlds for _, stop in plan.stops]
    kinds = {
        "pause": any(stop.pause for _, stop in stops),
        "pause before the way home": any(day.last_pause for day in days),
        "overtime": any(day.overtime for day in days),
        "wait": any(stop.wait for _, stop in stops),
        "late": any(stop.late for _, stop in stops),
        "two": any(stop.with_whom for _, stop in stops),
        "licence": any(visit.licences for visit, _ in stops),
        "part": any(visit.parts for visit, _ in stops),
        "skill": any(visit.skills for visit, _ in stops),
        "pin": any(visit.pinned_at or visit.pinned_to for visit, _ in stops),
        "weekend": any(visit.conditions.not_before_weekend for visit, _ in stops),
        "frost": any(visit.conditions.frost_limit_c is not None for visit, _ in stops),
        "daylight": any(visit.conditions.daylight for visit, _ in stops),
    }
    assert all(kinds.values()), kinds
