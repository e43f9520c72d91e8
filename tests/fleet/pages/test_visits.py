"""Pages of visits and plans: what they answer first, what they write, and whom they let do it."""

import pytest
from django.urls import reverse

from fleet import tasks
from fleet.models import PlanState, Visit, VisitPlan, VisitState
from fleet.verbs.visits import force, solving, wanting
from sites.models import Role
from tests import make
from tests.fleet.pages import words
from tests.fleet.verbs.visits.days import TUESDAY, at, clock, solved

pytestmark = pytest.mark.django_db


@pytest.fixture
def noor():
    return make.driver("noor", first_name="Noor", last_name="Vantongeren")


@pytest.fixture
def handed_out(monkeypatch) -> list[int]:
    found: list[int] = []
    monkeypatch.setattr(tasks.solve_plan, "delay", found.append)
    return found


@pytest.fixture(autouse=True)
def _good_friday(monkeypatch):
    """The pages' now is make.NOW."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: make.NOW)


def words_of(answer):
    return words.words_of(answer.content.decode())


def post(client, name, /, *args, **data):
    return client.post(reverse(name, args=args), data)


def test_the_list_says_what_is_wanted_and_what_is_due(as_owner):
    make.visit(make.site(code="KELP-7"))
    mesh = make.mesh(site=make.site(code="FERN-2"))
    make.replacement(mesh, why="upgrade")
    page = words_of(as_owner.get(reverse("visits")))
    assert "One visit is wanted, it has no day; one more trip is due." in page
    assert "FERN-2-A" in page


def test_what_is_due_is_wanted_by_a_button(as_owner):
    mesh = make.mesh(site=make.site(code="FERN-2"))
    make.replacement(mesh, why="upgrade")
    assert post(as_owner, "visit-want", work="swap:FERN-2-A").status_code == 302
    visit = Visit.objects.get()
    assert visit.tasks.get().replacement.mesh == mesh
    again = as_owner.post(reverse("visit-want"), {"work": "swap:FERN-2-A"}, follow=True)
    assert "a visit for it is wanted already" in words_of(again)


def test_a_visit_for_other_work_is_written_down(as_owner):
    home = make.site(code="KELP-7")
    answer = post(
        as_owner,
        "visit-new",
        home=home.code,
        words="look at the lamp",
        likely=60,
        people=1,
        windows="2027-03-30 09:00-12:00",
        parts="P=1",
        licences="mains",
        due_at="2027-03-30T12:00",
    )
    assert answer.status_code == 302
    visit = Visit.objects.get()
    window = visit.windows.get()
    assert (window.begins_at, visit.due_at) == (at(TUESDAY, 9), at(TUESDAY, 12))
    assert (visit.minutes_low, visit.minutes_likely, visit.minutes_high) == (45, 60, 90)
    assert (visit.parts, visit.licences) == ({"P": 1}, ["mains"])


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"windows": "tomorrow"}, "Line 1, “tomorrow”, cannot be read; write it as 2027-03-30 09:00-12:00."),
        ({"windows": "2027-03-28 02:30-04:00"}, "the clock is changed in that hour"),
        ({"parts": "P"}, "write a family and how many, such as P=1"),
        ({"licences": "MAINS!"}, "“MAINS!” is no such word"),
        ({"likely": "", "low": "5"}, "write the likely minutes too"),
        ({"likely": ""}, "nothing estimates work in your own words"),
    ],
    ids=["windows", "clock change", "parts", "licences", "low alone", "no minutes"],
)
def test_what_cannot_be_read_is_named_and_nothing_is_written(as_owner, given, said):
    home = make.site(code="KELP-7")
    told = {"home": home.code, "words": "look at the lamp", "likely": 60, "people": 1, **given}
    answer = post(as_owner, "visit-new", **told)
    assert answer.status_code == 422
    assert said in words_of(answer)
    assert not Visit.objects.exists()


def test_one_visit_is_changed_pinned_and_ended(as_owner, noor):
    visit = make.visit(make.site(code="KELP-7"))
    given = as_owner.get(reverse("visit-change", args=[visit.uid])).context["form"].initial
    told = {name: "" if value is None else value for name, value in given.items()} | {"likely": 45}
    told = {name: value for name, value in told.items() if value is not False}
    assert post(as_owner, "visit-change", visit.uid, **told).status_code == 302
    pinned = {"pin-pinned_to": noor.pk, "pin-pinned_at": "2027-03-30T10:00"}
    assert post(as_owner, "visit-pin", visit.uid, **pinned).status_code == 302
    visit.refresh_from_db()
    assert (visit.minutes_likely, visit.pinned_to, visit.pinned_at) == (45, noor, at(TUESDAY, 10))
    bad = post(as_owner, "visit-end", visit.uid, **{"end-state": "dropped"})
    assert bad.status_code == 422
    post(as_owner, "visit-end", visit.uid, **{"end-state": "dropped", "end-because": "sold"})
    visit.refresh_from_db()
    assert visit.state == VisitState.DROPPED


def test_a_rule_is_waived_by_the_office_only(client, as_owner):
    visit = make.visit()
    told = {"waive-rule": "frost", "waive-name": "Orla Hentsch", "waive-because": "stoves"}
    assert post(as_owner, "visit-waive", visit.uid, **told).status_code == 302
    assert visit.waivers.get().name == "Orla Hentsch"
    client.force_login(make.person(role=Role.TECHNICIAN))
    assert post(client, "visit-waive", visit.uid, **told).status_code == 403
    assert post(client, "visit-hold", visit.uid, "frost").status_code == 403


def test_a_technician_looks_asks_and_wants_but_does_not_decide(client, noor, handed_out):
    make.visit()
    plan = solved(noor)
    client.force_login(noor)
    assert client.get(reverse("plan", args=[plan.uid])).status_code == 200
    assert post(client, "plan-use", plan.uid, version=plan.version).status_code == 403
    assert post(client, "plan-move", plan.uid).status_code == 403
    asked = post(client, "plans", first_day="2027-03-30", last_day="2027-03-30", seconds=2, people=[noor.pk])
    assert asked.status_code == 302
    assert handed_out == [VisitPlan.objects.latest("pk").pk]


def test_a_plan_is_asked_for_grows_and_is_put_in_force(as_owner, noor, handed_out):
    """The whole way on the pages; the job is the queue's own task."""
    visit = make.visit(make.site(code="KELP-7"))
    make.visit(make.site(code="FERN-2"), (at(TUESDAY, 9), at(TUESDAY, 9, 20)))
    told = {"first_day": "2027-03-30", "last_day": "2027-03-30", "seconds": 2, "people": [noor.pk]}
    answer = as_owner.post(reverse("plans"), told)
    plan = VisitPlan.objects.get()
    assert answer.url == reverse("plan", args=[plan.uid])
    waiting = as_owner.get(answer.url)
    assert waiting.headers["Refresh"] == "3"
    assert "Refresh" not in as_owner.get(f"{answer.url}?still=1").headers
    assert "30 Mar 2027 waits to be planned." in words_of(waiting)

    assert solving.solve(handed_out[0], clock) == "done"
    done = as_owner.get(answer.url)
    page = words_of(done)
    assert "Refresh" not in done.headers
    assert "one visit with" in page
    assert "one left out." in page
    assert "no window of FERN-2 is that long" in page
    assert "must end later by 10 minutes" in page
    assert "No: every order was weighed" in page

    plan.refresh_from_db()
    used = as_owner.post(reverse("plan-use", args=[plan.uid]), {"version": plan.version}, follow=True)
    assert "In force since" in words_of(used)
    assert "Noor Vantongeren makes visit" in words_of(as_owner.get(reverse("visit", args=[visit.uid])))
    assert "One plan is in force." in words_of(as_owner.get(reverse("plans")))
    assert "all have a day" not in words_of(as_owner.get(reverse("visits")))
    post(as_owner, "plan-use", plan.uid, withdraw=1)
    assert not plan.days.filter(in_force=True).exists()


def test_the_strip_shows_the_hours_of_the_person_and_the_rows_those_of_the_home(as_owner, noor):
    make.visit(make.site(), (at(TUESDAY, 9), at(TUESDAY, 10)))
    plan = solved(noor)
    answer = as_owner.get(reverse("plan", args=[plan.uid]))
    (day,) = answer.context["shown"].days
    first = day.strip.ticks[0]
    assert first.hour == 8
    assert f'text-anchor="start">{first.hour}</text>' in answer.content.decode()
    assert "Begins, at the home" in words_of(answer)
    assert "09:00 Oslo (07:00 UTC)" in words_of(answer)


def test_days_that_cannot_be_planned_are_refused_with_the_reason(as_owner, noor, handed_out):
    make.visit()
    told = {"first_day": "2027-03-30", "last_day": "2027-03-29", "seconds": 2}
    answer = as_owner.post(reverse("plans"), told)
    assert answer.status_code == 422
    assert "2027-03-29 is before the first" in words_of(answer)
    told = {"first_day": "9999-12-30", "last_day": "9999-12-31", "seconds": 2}
    assert "9999-12-30 is more than 731 days ahead" in words_of(as_owner.post(reverse("plans"), told))
    assert handed_out == []


@pytest.mark.parametrize(
    "number", ["9" * 20, "9" * 5000, "-1", "x", "\0"], ids=["20", "5000", "below 0", "x", "nul"]
)
def test_somebody_whom_no_row_can_hold_is_no_choice(as_owner, noor, handed_out, number):
    make.visit()
    told = {"first_day": "2027-03-30", "last_day": "2027-03-30", "seconds": 2, "people": [number]}
    assert as_owner.post(reverse("plans"), told).status_code == 422
    assert handed_out == []


def test_a_move_is_looked_at_first_and_saved_after(as_owner, noor):
    visit = make.visit()
    pekka = make.driver("pekka", base_longitude="16.00000")
    plan = solved(noor, pekka)
    told = {
        "visit": visit.pk,
        "technician": pekka.pk,
        "day": "2027-03-30",
        "time": "11:00",
        "version": plan.version,
    }
    look = post(as_owner, "plan-move", plan.uid, **told)
    assert look.status_code == 200
    assert "more driving" in words_of(look)
    assert "goes to pekka and would begin 30 Mar 2027, 11:" in words_of(look)
    assert "Nothing is saved yet." in words_of(look)
    assert plan.days.get().technician == noor
    assert post(as_owner, "plan-move", plan.uid, **told, save=1).status_code == 302
    assert plan.days.get().technician == pekka
    stale = post(as_owner, "plan-move", plan.uid, **told, save=1)
    assert stale.status_code == 422
    assert "was changed since you looked" in words_of(stale)


def test_a_move_against_a_hard_rule_offers_no_button(as_owner, noor):
    make.licence(noor)
    visit = make.visit(licences=["mains"])
    plan = solved(noor, pekka := make.driver("pekka"))
    told = {"visit": visit.pk, "technician": pekka.pk, "day": "2027-03-30", "time": "11:00"}
    look = post(as_owner, "plan-move", plan.uid, **told, version=plan.version)
    assert "pekka holds no licence mains on 2027-03-30" in words_of(look)
    assert b'name="save"' not in look.content
    assert "This would break a rule, so it cannot be made." in words_of(look)
    assert post(as_owner, "plan-move", plan.uid, **told, version=plan.version, save=1).status_code == 422


def test_a_move_against_a_rule_of_the_home_asks_for_a_name(as_owner, noor):
    visit = make.visit(not_before_weekend=True)
    plan = solved(noor, last=TUESDAY.replace(month=4, day=2))
    told = {"visit": visit.pk, "technician": noor.pk, "day": "2027-04-02", "time": "11:00"}
    look = post(as_owner, "plan-move", plan.uid, **told, version=plan.version)
    assert "Who answers for it" in words_of(look)
    assert "a rule of the home: somebody must answer for it by name" in words_of(look)
    answered = {"name": "Orla Hentsch", "because": "the client insists", "save": 1}
    assert post(as_owner, "plan-move", plan.uid, **told, version=plan.version, **answered).status_code == 302
    assert visit.waivers.get().rule == "weekend"


def test_it_is_enough_ends_the_search(as_owner, noor):
    make.visit()
    plan = make.visit_plan()
    assert post(as_owner, "plan-enough", plan.uid).status_code == 302
    plan.refresh_from_db()
    assert plan.stop_asked_by
    VisitPlan.objects.update(state=PlanState.READY)
    assert "worked out already" in words_of(
        as_owner.post(reverse("plan-enough", args=[plan.uid]), follow=True)
    )


def test_a_forecast_is_noted_at_the_home(as_owner):
    visit = make.visit()
    told = {"forecast-day": "2027-03-30", "forecast-lowest_c": "-3"}
    assert post(as_owner, "visit-forecast", visit.uid, **told).status_code == 302
    assert visit.site.forecasts.get().lowest_c == -3
    wanting.end(visit, VisitState.DONE, "", "Orla", make.NOW)
    assert post(as_owner, "visit-pin", visit.uid).status_code == 422


def test_what_has_no_due_time_stands_after_what_is_due(as_owner):
    free = make.visit(make.site(code="KELP-7"))
    due = make.visit(make.site(code="FERN-2"), due_at=at(TUESDAY, 9))
    rows = as_owner.get(reverse("visits")).context["page"].object_list
    assert [each.row for each in rows] == [due, free]


def test_what_was_overdue_before_is_no_lateness_of_the_plan(as_owner, noor):
    make.visit(due_at=at(TUESDAY.replace(year=2024), 9))
    page = words_of(as_owner.get(reverse("plan", args=[solved(noor).uid])))
    assert "overdue since 30 Mar 2024" in page
    assert "none left out, one overdue before." in page
    assert "days late" not in page


def test_a_technician_finds_their_own_visits_on_their_own_page(client, as_owner, noor):
    visit = make.visit(make.site(code="KELP-7"), (at(TUESDAY, 9), at(TUESDAY, 10)))
    plan = solved(noor)
    client.force_login(noor)
    mine = reverse("person", args=["noor"])
    assert mine in client.get(reverse("visits")).content.decode()
    assert "No plan in force has a visit for you." in words_of(client.get(mine))
    force.use(plan, plan.version, "Orla", make.NOW)
    assert f"{visit.code}" in words_of(client.get(mine))
    assert "30 Mar 2027, 09:00 Oslo" in words_of(client.get(mine))
