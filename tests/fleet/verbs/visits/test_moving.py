"""Moving by hand: the cost first, hard rules, and rules that somebody answers for."""

import pytest

from fleet.models import JournalEntry
from fleet.planning.visits.moving import Goal
from fleet.planning.visits.request import Rule
from fleet.verbs.visits import force, moving, wanting
from fleet.verbs.visits.moving import Answering
from fleet.verbs.visits.refusing import VisitRefused
from tests import make
from tests.fleet.verbs.visits.days import FRIDAY, TUESDAY, at, solved, stop_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def noor():
    return make.driver("noor")


def save(plan, visit, goal, **given):
    plan.refresh_from_db()
    return moving.save_move(plan, visit, goal, plan.version, "Orla", make.NOW, **given)


def test_a_look_says_what_it_costs_and_writes_nothing(noor):
    visit = make.visit()
    plan = solved(noor, make.driver("pekka", base_longitude="16.00000"))
    assert stop_of(plan, visit).day.technician == noor
    found = moving.look(plan, visit, Goal("pekka", at(TUESDAY, 11)))
    assert found.travel_minutes > 60
    assert found.broken == ()
    assert stop_of(plan, visit).day.technician == noor


def test_a_move_is_saved_with_its_journal_line(noor):
    visit = make.visit()
    plan = solved(noor, pekka := make.driver("pekka", base_longitude="16.00000"))
    save(plan, visit, Goal("pekka", at(TUESDAY, 13)))
    stop = stop_of(plan, visit)
    assert (stop.day.technician, stop.begin_at) == (pekka, at(TUESDAY, 13))
    assert JournalEntry.objects.get(what="visit moved by hand").details["to"] == "pekka"
    plan.refresh_from_db()
    assert (plan.moved_by_hand, plan.exact) == (1, False)


def test_a_hard_rule_refuses_whoever_signs(noor):
    make.licence(noor)
    visit = make.visit(licences=["mains"])
    plan = solved(noor, make.driver("pekka"))
    with pytest.raises(VisitRefused, match="licence: pekka holds no licence mains"):
        save(plan, visit, Goal("pekka", at(TUESDAY, 11)), answering=Answering("Orla Hentsch", "in a hurry"))
    assert stop_of(plan, visit).day.technician == noor


def test_frost_is_moved_into_only_by_name(noor):
    """Trade row P5: a home that heats with it, -3 degrees forecast: refused with the reason; override needs a name."""
    home = make.site(code="KELP-7", frost_limit_c=0)
    mesh = make.mesh(site=home)
    make.service(mesh)
    make.replacement(mesh, new_radio=make.spare(place=make.place_at(home)))
    wednesday = TUESDAY.replace(day=31)
    for day, low in ((TUESDAY, 4), (wednesday, 4), (wednesday.replace(month=4, day=1), -3)):
        wanting.foretell(home, day, low, "Orla", make.NOW)
    (visit,) = wanting.want_due(["swap:KELP-7-A"], "Orla", make.NOW)
    plan = solved(noor, last=wednesday)
    assert stop_of(plan, visit).day.day == TUESDAY
    goal = Goal("noor", at(wednesday, 11))
    with pytest.raises(VisitRefused, match="frost: -3 °C are forecast at KELP-7; the limit is 0"):
        save(plan, visit, goal)
    with pytest.raises(VisitRefused, match="because: nothing was written"):
        save(plan, visit, goal, answering=Answering("Orla Hentsch"))
    save(plan, visit, goal, answering=Answering("Orla Hentsch", "stove in every room"))
    assert stop_of(plan, visit).day.day == wednesday
    waiver = visit.waivers.get()
    assert (waiver.rule, waiver.name) == (Rule.FROST.value, "Orla Hentsch")


def test_a_swap_is_not_moved_to_a_friday(noor):
    home = make.site()
    mesh = make.mesh(site=home)
    make.service(mesh)
    make.replacement(mesh, new_radio=make.spare(place=make.place_at(home)))
    (visit,) = wanting.want_due([f"swap:{mesh.code}"], "Orla", make.NOW)
    plan = solved(noor, last=FRIDAY)
    with pytest.raises(VisitRefused, match="weekend: 2027-04-03 is free"):
        save(plan, visit, Goal("noor", at(FRIDAY, 11)))


def test_a_move_in_a_plan_in_force_takes_the_replacement_along(noor):
    home = make.site()
    mesh = make.mesh(site=home)
    make.service(mesh)
    swap = make.replacement(mesh, new_radio=make.spare(place=make.place_at(home)))
    (visit,) = wanting.want_due([f"swap:{mesh.code}"], "Orla", make.NOW)
    plan = solved(noor)
    force.use(plan, plan.version, "Orla", make.NOW)
    save(plan, visit, Goal("noor", at(TUESDAY, 12)))
    swap.refresh_from_db()
    assert swap.begins_at == at(TUESDAY, 12)
    assert stop_of(plan, visit).in_force
    save(plan, visit, None)
    swap.refresh_from_db()
    assert swap.begins_at is None
    assert plan.left_out.get().obstacles[0]["because"] == "Orla left it out by hand."


def test_of_two_who_move_at_once_the_second_looks_again(noor):
    visit, other = make.visit(), make.visit()
    plan = solved(noor)
    seen = plan.version
    moving.save_move(plan, visit, Goal("noor", at(TUESDAY, 12)), seen, "Orla", make.NOW)
    with pytest.raises(VisitRefused, match="version: this plan was changed since you looked"):
        moving.save_move(plan, other, Goal("noor", at(TUESDAY, 14)), seen, "Tomasz", make.NOW)


def test_a_visit_of_two_wants_the_second_person_named(noor):
    visit = make.visit(people=2)
    plan = solved(noor, pekka := make.driver("pekka"))
    assert stop_of(plan, visit).second in (noor, pekka)
    with pytest.raises(VisitRefused, match=r"second: .* takes two people"):
        save(plan, visit, Goal("noor", at(TUESDAY, 12)))
    save(plan, visit, Goal("noor", at(TUESDAY, 12), "pekka"))
    stop = stop_of(plan, visit)
    assert (stop.day.technician, stop.second, stop.begin_at) == (noor, pekka, at(TUESDAY, 12))


def test_nobody_is_moved_to_where_they_do_not_work(noor):
    visit = make.visit()
    plan = solved(noor)
    with pytest.raises(VisitRefused, match="noor does not work at 2027-03-30 18:00"):
        save(plan, visit, Goal("noor", at(TUESDAY, 18)))
    with pytest.raises(VisitRefused, match="at: this time has passed"):
        save(plan, visit, Goal("noor", make.NOW))
