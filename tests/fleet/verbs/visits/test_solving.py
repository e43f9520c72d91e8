"""Working a plan out: early answer, claims, and what is said where it was cut short."""

from datetime import timedelta

import pytest

from fleet.models import PlanState, VisitPlan
from fleet.planning.visits.checking import breaches
from fleet.queries.visits.answers import plan_of
from fleet.queries.visits.asked import asked_of
from fleet.verbs.visits import planning, solving
from fleet.verbs.visits.refusing import VisitRefused
from tests import make
from tests.fleet.verbs.visits.days import TUESDAY, asked, at, clock, solved, stop_of, ticking

pytestmark = pytest.mark.django_db


@pytest.fixture
def noor():
    return make.driver("noor")


def test_a_plan_is_worked_out_from_rows_to_rows(noor):
    visits = [make.visit() for _ in range(3)]
    plan = solved(noor)
    assert plan.state == PlanState.READY
    assert {stop_of(plan, visit).day.technician for visit in visits} == {noor}
    assert breaches(asked_of(plan).request, plan_of(plan)) == []
    assert plan.progress == 100
    assert plan.cut_short == ""


def test_what_was_read_back_is_what_was_told(noor):
    make.visit()
    make.visit(due_at=at(TUESDAY, 9))
    plan = solved(noor, make.driver("pekka"))
    again = plan_of(plan)
    assert again.travel_minutes > 0
    assert again.weight == plan.weight
    assert all(day.back > day.leave for day in again.days)


def test_an_impossible_window_says_what_would_have_to_give(noor):
    home = make.site(code="KELP-7")
    short = make.visit(home, (at(TUESDAY, 9), at(TUESDAY, 9, 20)))
    plan = solved(noor)
    (left,) = plan.left_out.all()
    assert left.visit == short
    assert [one["rule"] for one in left.obstacles] == ["window"]
    assert "no window of KELP-7 is that long" in left.obstacles[0]["because"]
    assert left.gives[0]["rule"] == "window"
    assert left.gives[0]["minutes"] == 10
    assert "must end later by 10 minutes" in left.gives[0]["because"]


def test_a_home_without_a_position_is_left_out_with_the_reason(noor):
    make.visit()
    lost = make.visit(make.site(code="FERN-2", latitude=None, longitude=None))
    plan = solved(noor)
    (left,) = plan.left_out.all()
    assert left.visit == lost
    assert "FERN-2 has no position" in left.obstacles[0]["because"]


def test_somebody_without_hours_or_base_is_named(noor):
    make.visit()
    plan = solved(noor, make.person(username="pekka", first_name="Pekka"))
    assert "Pekka: no base is written down." in plan.cautions


def test_nobody_to_send_is_no_plan():
    make.visit()
    plan = solved(make.person(username="pekka"))
    assert plan.state == PlanState.FAILED
    assert "Nobody can be sent" in plan.refused


def test_one_worker_at_a_time(noor):
    make.visit()
    plan = asked(noor)
    assert solving.claim(plan.pk, make.NOW) is not None
    assert solving.claim(plan.pk, make.NOW + timedelta(seconds=30)) is None
    assert solving.solve(plan.pk, clock) == "elsewhere"


def test_a_worker_that_was_killed_is_followed_by_another(noor):
    make.visit()
    plan = asked(noor)
    solving.claim(plan.pk, make.NOW)
    later = make.NOW + solving.LOST_AFTER + timedelta(seconds=1)
    assert solving.left_alone(make.NOW) == []
    assert solving.left_alone(later) == [plan.pk]
    assert solving.solve(plan.pk, lambda: later) == "done"
    plan.refresh_from_db()
    assert plan.state == PlanState.READY


def test_a_worker_that_comes_back_writes_nothing(noor, monkeypatch):
    make.visit()
    plan = asked(noor)
    real = solving.make_plan

    def slow(*given):
        """Another takes the plan over while this one is at work."""
        monkeypatch.setattr(solving, "make_plan", real)
        late = make.NOW + solving.LOST_AFTER * 2
        assert solving.solve(plan.pk, lambda: late) == "done"
        return real(*given)

    monkeypatch.setattr(solving, "make_plan", slow)
    assert solving.solve(plan.pk, clock) == "elsewhere"
    plan.refresh_from_db()
    assert (plan.claim, plan.version, plan.days.count()) == (2, 1, 1)


def test_a_plan_that_kills_its_workers_ends_with_what_was_found(noor):
    make.visit()
    plan = asked(noor)
    later = make.NOW
    for _ in range(solving.MOST_CLAIMS):
        assert solving.claim(plan.pk, later) is not None
        later += solving.LOST_AFTER * 2
    assert solving.solve(plan.pk, lambda: later) == "done"
    plan.refresh_from_db()
    assert plan.state == PlanState.FAILED
    assert "lost 3 times" in plan.refused


def test_a_search_that_breaks_off_keeps_its_early_answer_and_says_so(noor, monkeypatch):
    make.visit()
    real = solving.make_plan

    def breaks(request, budget, on_better):
        on_better(real(request, budget))
        raise RuntimeError("out of memory")

    monkeypatch.setattr(solving, "make_plan", breaks)
    plan = solved(noor)
    assert plan.state == PlanState.READY
    assert plan.days.count() == 1
    assert "The search broke off: RuntimeError" in plan.cut_short


def test_enough_ends_the_search_and_the_plan_says_who_said_so(noor):
    for _ in range(6):
        make.visit()
    plan = asked(noor, make.driver("pekka"), seconds=120)
    planning.enough(plan, "Orla Hentsch", make.NOW)
    assert solving.solve(plan.pk, clock) == "done"
    plan.refresh_from_db()
    assert plan.cut_short.startswith("Orla Hentsch said that it is enough after ")
    assert plan.days.exists()
    with pytest.raises(VisitRefused, match="worked out already"):
        planning.enough(plan, "Orla", make.NOW)


def test_the_early_answer_is_there_before_the_end_and_progress_is_told(noor):
    for number in range(10):
        make.visit(make.site(longitude=f"14.{number}5000"))
    plan = asked(noor, make.driver("pekka"), seconds=3)
    seen = []

    def look(done):
        row = VisitPlan.objects.get(pk=plan.pk)
        seen.append((done, row.state, row.days.exists()))

    assert solving.solve(plan.pk, clock, progress=look, ticks=ticking(0.002)) == "done"
    assert [done for done, _, _ in seen] == sorted(done for done, _, _ in seen)
    assert any(days for _, state, days in seen if state == PlanState.WORKING)
    plan.refresh_from_db()
    assert plan.early_weight >= plan.weight
