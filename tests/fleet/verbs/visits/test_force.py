"""Plans in force: what they write on replacements, what they replace, and who comes second."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from fleet.models import JournalEntry, PlanDay, PlanStop, VisitState
from fleet.planning.estimating import ThreePoints
from fleet.planning.replacing.states import State
from fleet.verbs.replacing import asking, moving
from fleet.verbs.replacing.moving import MoveRefused
from fleet.verbs.visits import force, planning, wanting
from fleet.verbs.visits.refusing import VisitRefused
from tests import make
from tests.fleet.verbs.visits.days import TUESDAY, WEDNESDAY, asked, at, solved, stop_of

pytestmark = pytest.mark.django_db
TERMS = wanting.Terms(minutes=ThreePoints(30, 45, 60))


@pytest.fixture
def noor():
    return make.driver("noor")


@pytest.fixture
def swap():
    """A swap of a radio that lies in the home itself, by a visit that is wanted."""
    home = make.site(code="KELP-7")
    mesh = make.mesh(site=home)
    make.service(mesh)
    spare = make.spare(place=make.place_at(home))
    return make.replacement(mesh, new_radio=spare, why="upgrade")


def wanted(swap):
    (visit,) = wanting.want_due([f"swap:{swap.mesh.code}"], "Orla", make.NOW)
    return visit


def use(plan):
    plan.refresh_from_db()
    return force.use(plan, plan.version, "Orla", make.NOW)


def test_a_plan_in_force_tells_the_replacement_who_comes_when(noor, swap):
    visit = wanted(swap)
    plan = use(solved(noor))
    stop = stop_of(plan, visit)
    swap.refresh_from_db()
    assert (swap.begins_at, swap.ends_at, swap.technician) == (stop.begin_at, stop.end_at, noor)
    assert stop.in_force
    assert JournalEntry.objects.filter(what="plan put in force").count() == 1


def test_nothing_is_put_in_force_that_was_not_looked_at(noor):
    make.visit()
    plan = solved(noor)
    with pytest.raises(VisitRefused, match="version: this plan was changed"):
        force.use(plan, plan.version + 1, "Orla", make.NOW)
    with pytest.raises(VisitRefused, match="waits for a worker"):
        force.use(asked(noor), 0, "Orla", make.NOW)


def test_a_rule_that_changed_since_holds_the_plan(noor):
    make.licence(noor)
    make.visit(licences=["mains"])
    plan = solved(noor)
    noor.licences.all().delete()
    with pytest.raises(VisitRefused, match="licence: noor holds no licence mains on 2027-03-30"):
        use(plan)
    assert not PlanDay.objects.filter(in_force=True).exists()


def test_a_visit_that_was_dropped_since_holds_the_plan(noor):
    make.visit()
    gone = make.visit()
    plan = solved(noor)
    wanting.end(gone, VisitState.DROPPED, "sold the house", "Orla", make.NOW)
    with pytest.raises(VisitRefused, match="lan anew"):
        use(plan)


def test_another_plan_for_the_same_day_takes_its_place(noor, swap):
    visit = wanted(swap)
    first = use(solved(noor))
    second = use(solved(noor, last=WEDNESDAY))
    assert set(PlanDay.objects.filter(in_force=True).values_list("plan", flat=True)) == {second.pk}
    assert not stop_of(first, visit).in_force
    swap.refresh_from_db()
    assert swap.begins_at == stop_of(second, visit).begin_at


def test_a_visit_that_lost_its_day_takes_it_off_the_replacement(noor, swap):
    visit = wanted(swap)
    use(solved(noor))
    make.visit()
    wanting.change(visit, wanting.Terms(windows=((at(WEDNESDAY, 9), at(WEDNESDAY, 15)),)), "Orla", make.NOW)
    use(solved(noor))
    swap.refresh_from_db()
    assert (swap.begins_at, swap.technician) == (None, None)


def test_a_visit_in_force_elsewhere_is_left_where_it_is(noor):
    make.visit()
    use(solved(noor))
    with pytest.raises(VisitRefused, match="none is wanted that has no day"):
        asked(noor, first=WEDNESDAY, last=WEDNESDAY)


def test_a_day_that_has_begun_is_not_planned_anew(noor):
    make.visit()
    plan = use(solved(noor))
    noon = at(TUESDAY, 12)
    make.visit()
    with pytest.raises(VisitRefused, match="noor has set out on 2027-03-30"):
        planning.ask(planning.Wish(TUESDAY, TUESDAY, [noor]), "Orla", noon)
    with pytest.raises(VisitRefused, match="in force and still to come"):
        force.withdraw(plan, "Orla", noon)


def test_the_database_holds_one_plan_a_technician_and_day(noor):
    make.visit()
    plan = use(solved(noor))
    day = plan.days.get()
    day.pk, day.leave_at = None, day.leave_at + timedelta(minutes=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        day.save(force_insert=True)


def test_taken_out_of_force_nobody_comes(noor, swap):
    wanted(swap)
    plan = use(solved(noor))
    force.withdraw(plan, "Orla", make.NOW)
    swap.refresh_from_db()
    assert swap.begins_at is None
    assert not PlanStop.objects.filter(in_force=True).exists()


def test_a_swap_that_has_gone_on_is_not_moved_by_a_plan(noor, swap):
    wanted(swap)
    plan = solved(noor)
    swap.state = State.SILENCED.value
    swap.save()
    with pytest.raises(VisitRefused, match=r"KELP-7-A: state: it is silenced"):
        use(plan)
    assert not PlanDay.objects.filter(in_force=True).exists()


def test_a_visit_that_is_dropped_frees_its_replacement(noor, swap):
    visit = wanted(swap)
    use(solved(noor))
    wanting.end(visit, VisitState.DROPPED, "the client is away", "Orla", make.NOW)
    swap.refresh_from_db()
    assert swap.begins_at is None


def test_the_card_cannot_say_another_time_than_the_plan_in_force(noor, swap):
    visit = wanted(swap)
    stop = stop_of(use(solved(noor)), visit)
    swap.refresh_from_db()
    later = {"begins_at": stop.begin_at + timedelta(days=1), "ends_at": stop.end_at + timedelta(days=1)}
    with pytest.raises(MoveRefused, match=f"begins_at: visit {visit.code} is in a plan in force"):
        asking.plan(swap, later, "Orla", make.NOW)
    with pytest.raises(MoveRefused, match="is in a plan in force"):
        asking.plan(swap, {"technician": make.driver("pekka")}, "Orla", make.NOW)
    asking.plan(swap, {"consent_by": "Ótta", "begins_at": stop.begin_at}, "Orla", make.NOW)
    wanting.end(visit, VisitState.DROPPED, "not needed", "Orla", make.NOW)
    asking.plan(swap, later, "Orla", make.NOW)


def test_a_dropped_swap_takes_its_visit_out_of_the_plan(noor, swap):
    visit = wanted(swap)
    use(solved(noor))
    swap.refresh_from_db()
    moving.move(swap, moving.Step(State.DROPPED, swap.stands, "Orla", note="sold the house"), make.NOW)
    visit.refresh_from_db()
    assert (visit.state, visit.ended_because) == (VisitState.DROPPED, "The replacement is dropped.")
    assert not PlanStop.objects.filter(in_force=True).exists()


def test_an_accepted_swap_ends_its_visit_and_leaves_other_work_wanted(swap):
    visit = wanted(swap)
    moving.record_move(swap, State.ACCEPTED, "Noor", make.NOW)
    visit.refresh_from_db()
    assert (visit.state, visit.ended_by) == (VisitState.DONE, "Noor")

    other = make.replacement(make.mesh())
    mixed = wanting.want(other.mesh.site, "look at the hall lamp", TERMS, "Orla", make.NOW, with_due=True)
    moving.record_move(other, State.ACCEPTED, "Noor", make.NOW)
    mixed.refresh_from_db()
    assert mixed.state == VisitState.WANTED
    assert sorted(mixed.tasks.values_list("kind", "is_open"))[0][1] is True
