"""Why a visit found no place, in words that say whom and what of it other visits are to blame for."""

from fleet.planning.estimating import ThreePoints
from fleet.planning.reach import Position
from fleet.planning.visits.solving import make_plan
from tests.fleet.planning.visits.worlds import budget, request, technician, visit


def left_out(*visits) -> dict[str, str]:
    noor = technician("noor", name="Noor Vantongeren")
    plan = make_plan(request([noor], list(visits)), budget(20))
    return {each.visit: each.obstacles[0].because for each in plan.left_out}


def test_a_home_too_far_for_any_day_is_no_matter_of_other_visits():
    told = left_out(visit("FAR", place=Position(47.56, -52.71)))
    assert told == {
        "FAR": "Noor Vantongeren cannot be at HOME-FAR in its windows and back within a day's work, "
        "even without other visits."
    }


def test_a_visit_that_others_crowd_out_says_so():
    told = left_out(*(visit(code, minutes=ThreePoints.exactly(300)) for code in ("A", "B")))
    (because,) = told.values()
    assert because.startswith("Noor Vantongeren has no room for ")
    assert because.endswith(" in its windows beside other visits.")
