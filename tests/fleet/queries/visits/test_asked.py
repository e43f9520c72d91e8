"""The request that a plan is made from, as the rows say it."""

from datetime import date, timedelta

import pytest

from fleet.models import PlaceKind
from fleet.planning.visits.request import Rule
from fleet.queries.visits.asked import asked
from fleet.queries.visits.due import due_visits
from fleet.verbs.visits import wanting
from tests import make
from tests.fleet.verbs.visits.days import OSLO, TUESDAY, WEDNESDAY, at

pytestmark = pytest.mark.django_db

DAYS = (TUESDAY, WEDNESDAY)


def request(*visits, people=(), days=DAYS, since=make.NOW):
    return asked(people, list(visits), days, since).request


def the_swap(home, **given):
    mesh = make.mesh(site=home)
    make.service(mesh)
    swap = make.replacement(mesh, why="upgrade", **given)
    (visit,) = wanting.want_due([trip.keys for trip in due_visits(make.NOW)], "Orla", make.NOW)
    return swap, visit


def test_a_person_comes_with_hours_base_licences_skills_and_van():
    noor = make.driver("noor")
    make.licence(noor)
    noor.skills.create(name="ladder")
    van = make.place(kind=PlaceKind.VAN, holder=noor)
    make.spare(place=van)
    make.spare(place=van, blank_proven_at=None, blank_proven_by="")
    (technician,) = request(people=[noor]).technicians
    assert technician.code == "noor"
    assert [(day.begin, day.end) for day in technician.days] == [(at(day, 8), at(day, 16)) for day in DAYS]
    assert technician.holds("mains", TUESDAY)
    assert technician.skills == {"ladder"}
    # The radio that nobody has proven blank is no part to plan with.
    assert technician.parts == {"P": 1}


def test_days_off_and_the_moment_of_asking_cut_the_hours():
    noor = make.driver("noor")
    noor.days_off.create(first_day=WEDNESDAY, last_day=WEDNESDAY)
    (technician,) = request(people=[noor], since=at(TUESDAY, 11)).technicians
    assert [(day.begin, day.end) for day in technician.days] == [(at(TUESDAY, 11), at(TUESDAY, 16))]


def test_no_named_window_means_the_usual_hours_on_the_clock_of_the_home():
    visit = make.visit(make.site(time_zone="Asia/Kathmandu", country="NP"))
    (stop,) = request(visit).visits
    begins = [span.begin.astimezone(stop.zone) for span in stop.windows]
    assert [(moment.date(), moment.hour) for moment in begins] == [(TUESDAY, 7), (WEDNESDAY, 7)]


def test_a_named_window_binds_across_a_clock_change():
    """Clocks in Norway went forward on 28 March 2027 at 01:00 UTC (Directive 2000/84/EC)."""
    sunday = date(2027, 3, 28)
    visit = make.visit(make.site(), (at(sunday, 1), at(sunday, 4)))
    (stop,) = request(visit, days=(sunday, sunday)).visits
    assert stop.windows[0].end - stop.windows[0].begin == timedelta(hours=2)
    assert stop.zone == OSLO


def test_a_swap_brings_its_rules_its_radio_and_its_people():
    home = make.site(frost_limit_c=-2, vulnerable_person=True)
    van = make.place(kind=PlaceKind.VAN, holder=make.driver("noor"))
    spare = make.spare(place=van)
    _, visit = the_swap(home, new_radio=spare, needs_licence=True)
    wanting.foretell(home, TUESDAY, -3, "Orla", make.NOW)
    wanting.waive(visit, Rule.WEEKEND, "Orla Hentsch", "the client insists", "Orla", make.NOW)
    made = request(visit, people=[van.holder])
    (stop,) = made.visits
    assert stop.licences == {"mains"}
    assert stop.people == 2
    part = f"P, radio {spare.code}"
    assert stop.parts == {part: 1}
    assert made.technicians[0].parts == {part: 1}
    assert stop.conditions.not_before_weekend
    assert stop.conditions.frost_limit_c == -2
    assert stop.conditions.lowest_c == {TUESDAY: -3}
    assert stop.conditions.waived == {Rule.WEEKEND: "Orla Hentsch"}


def test_a_spare_that_lies_in_the_home_need_not_be_brought():
    home = make.site()
    _, visit = the_swap(home, new_radio=make.spare(place=make.place_at(home)))
    (stop,) = request(visit).visits
    assert stop.parts == {}


def test_where_no_radio_is_chosen_one_of_the_family_is_brought():
    swap, visit = the_swap(make.site(), new_radio=None)
    (stop,) = request(visit).visits
    assert stop.parts == {swap.old_radio.model.family: 1}


def test_heating_without_a_limit_of_its_own_must_not_freeze():
    home = make.site()
    mesh = make.mesh(site=home)
    make.node(mesh, safety_kind="heat")
    make.service(mesh)
    make.replacement(mesh, why="upgrade")
    (visit,) = wanting.want_due([trip.keys for trip in due_visits(make.NOW)], "Orla", make.NOW)
    (stop,) = request(visit).visits
    assert stop.conditions.frost_limit_c == 0


def test_who_was_there_before_is_known():
    home = make.site()
    mesh = make.mesh(site=home)
    noor = make.driver("noor")
    make.replacement(mesh, state="closed", technician=noor)
    (stop,) = request(make.visit(home)).visits
    assert stop.before == "noor"


def test_due_value_and_pins_are_carried_over():
    noor = make.driver("noor")
    visit = make.visit(due_at=at(TUESDAY, 12), value=7, pinned_to=noor, pinned_at=at(TUESDAY, 9))
    (stop,) = request(visit).visits
    assert (stop.due, stop.value, stop.pinned_to) == (at(TUESDAY, 12), 7, "noor")
    assert stop.pinned_at == at(TUESDAY, 9)


def test_many_visits_take_no_more_statements(django_assert_max_num_queries):
    noor = make.driver("noor")
    visits = [make.visit() for _ in range(6)]
    with django_assert_max_num_queries(16):
        from fleet.models import Visit
        from fleet.queries.visits.asked import whole

        request(*whole(Visit.objects.filter(pk__in=[visit.pk for visit in visits])), people=[noor])
