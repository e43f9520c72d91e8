"""Supposing a change on a page: who may, what is answered, and that the book stays as it was."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from fleet import tasks
from fleet.models import FirmwareRelease, PlaceKind, Radio, RadioState, Supposal
from fleet.pages import what_if as page
from fleet.verbs import suppose
from sites.models import Agreement, Role
from tests import make
from tests.fleet.pages.words import words_of
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db

ASK = "what-if"


@pytest.fixture
def mesh(monkeypatch):
    """Covered as of NOW, which the book's clock stands at, but that its spare is gone."""
    moment = type("Moment", (), {"now": make.NOW, "clock": staticmethod(lambda: make.NOW)})
    monkeypatch.setattr(page, "book_time", lambda: moment)
    make.firm()
    make.place(
        code="SHELF-1", name="Workshop", kind=PlaceKind.SHELF, latitude="68.15000", longitude="14.20000"
    )
    mesh = covered_mesh()
    Radio.objects.filter(state=RadioState.SHELVED).delete()
    return mesh


def build_of(mesh) -> FirmwareRelease:
    return mesh.periods.get().radio.firmware


def line(mesh, **given) -> dict[str, object]:
    build = build_of(mesh)
    spare = f"{build.model.code}@{build.version}"
    return {
        "spare_1": spare,
        "count_1": 2,
        "place_1": "shelf-1",
        "price_1": "49.50",
        "wait_days": 14,
        **given,
    }


def ask(client: Client, **given) -> str:
    return words_of(client.post(reverse(ASK), given, follow=True).content.decode())


def test_the_first_line_says_who_is_lifted_and_the_hours_of_a_year(as_owner, mesh):
    build = build_of(mesh)
    answer = ask(as_owner, **line(mesh))
    assert f"With 2 more {build.model} {build.version} at Workshop, 1 mesh is no longer bare; " in answer
    assert "hours of outage expected a year." in answer


def test_a_change_is_shown_with_before_after_and_why(as_owner, mesh):
    answer = ask(as_owner, **line(mesh))
    assert f"{mesh.code} {mesh.site.client.name} bare covered {mesh.code} is covered." in answer
    assert f"Now: There is no spare for {mesh.code}" in answer
    assert "Nothing of this is saved." in answer
    assert "1 of them, in 1 home, would be in another state" in answer


def test_what_stays_is_one_line(as_owner, mesh):
    covered_mesh()
    assert "In the state that they are in: 1 covered." in ask(as_owner, **line(mesh))


def test_money_is_said_as_far_as_it_is_known(as_owner, mesh):
    assert "The spares cost 99.00 EUR, once" in ask(as_owner, **line(mesh))
    assert "The spares cost not counted" in ask(as_owner, **line(mesh, price_1=""))


def test_no_failure_yet_shows_its_wide_bound(as_owner, mesh):
    """0 in 400 days: chi-square(0.95, 2) / 2 / 1.0951 years = 2.7355 a year."""
    assert "family P few years: the bound is wide 0 1.1 273.6 1" in ask(
        as_owner, drill_days=182, wait_days=14
    )


def test_nothing_of_the_book_is_changed(as_owner, mesh):
    ask(as_owner, **line(mesh, drill_days=182, point_hours=24))
    mesh.refresh_from_db()
    assert (Radio.objects.filter(state=RadioState.SHELVED).count(), mesh.assessed_at) == (0, None)
    assert Agreement.objects.get().drill_interval_days == 365


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({}, "Nothing is supposed yet: fill in at least one change."),
        ({"drill_days": "0"}, "0 cannot be; write 1 to 1830."),
        ({"point_hours": "9000"}, "9000 cannot be; write 1 to 8760."),
        ({"wait_days": "1000"}, "1000 cannot be; write 1 to 730."),
        ({"taken": "A2-9999"}, "A2-9999 is no spare that stands by; none stands by."),
        ({"count_1": "2"}, "Nothing is said here, but the line is begun; choose one from the list."),
        ({"policy_1": "barred"}, "Nothing is chosen here, but the line is begun; choose one from the list."),
        ({"spare_1": "X9@1"}, "Select a valid choice. X9@1 is not one of the available choices."),
    ],
)
def test_what_cannot_be_is_named_with_what_would_be_right(as_owner, mesh, given, told):
    answer = ask(as_owner, **given)
    assert told in answer
    assert "Nothing was worked out yet." in answer
    assert not Supposal.objects.exists()


def test_a_wrong_place_or_count_or_price_is_named_at_its_line(as_owner, mesh):
    assert "There is no place LOFT-1; write the code of a home, or one of: SHELF-1." in ask(
        as_owner, **line(mesh, place_1="loft-1")
    )
    assert "501 cannot be; write 1 to 500." in ask(as_owner, **line(mesh, count_1=501))
    assert "is -1.00; write 0 to 1,000,000." in ask(as_owner, **line(mesh, price_1="-1.00"))


def test_firmware_that_is_given_two_policies_is_refused(as_owner, mesh):
    build = line(mesh)["spare_1"]
    answer = ask(as_owner, build_1=build, policy_1="hold", build_2=build, policy_2="barred")
    assert "is given two policies; give it one." in answer


def test_doors_lead_to_where_it_would_really_be_changed(as_owner, owner, mesh):
    assert "Enter or take out spares" not in ask(as_owner, **line(mesh))
    owner.is_staff = owner.is_superuser = True
    owner.save()
    answer = ask(as_owner, **line(mesh, point_hours=24))
    for door in ("Enter or take out spares", "Change agreements, home by home", "Change keep rules"):
        assert door in answer


def test_an_answer_stays_and_is_listed_with_its_moment(as_owner, mesh):
    ask(as_owner, drill_days=182)
    listed = words_of(as_owner.get(reverse(ASK)).content.decode())
    assert "a drill every 182 days 26 Mar 2027, 08:00 UTC Orla Hentsch up to date" in listed


def test_an_answer_is_old_once_the_book_was_judged_since(as_owner, mesh):
    ask(as_owner, drill_days=182)
    make.round_(started_at=make.NOW + timedelta(hours=1))
    listed = words_of(as_owner.get(reverse(ASK)).content.decode())
    shown = words_of(
        as_owner.get(reverse("what-if-answer", args=[Supposal.objects.get().pk])).content.decode()
    )
    assert "old: the book was judged since" in listed
    assert "This answer is old" in shown


def test_it_can_be_asked_again_as_it_was_filled_in(as_owner, mesh):
    build = build_of(mesh)
    given = {"build_1": f"{build.model.code}@{build.version}", "policy_1": "hold", "drill_days": 182}
    ask(as_owner, **line(mesh, **given))
    form = as_owner.get(reverse(ASK), {"again": Supposal.objects.get().pk}).context["form"]
    expected = {**line(mesh, **given), "place_1": "SHELF-1"}
    assert {name: str(form[name].value()) for name in expected} == {
        name: str(value) for name, value in expected.items()
    }


@pytest.mark.parametrize("again", ["x", "99", "9" * 30, "-1"])
def test_asking_again_what_is_not_there_is_an_empty_form(as_owner, mesh, again):
    assert as_owner.get(reverse(ASK), {"again": again}).status_code == 200


def test_a_large_book_is_worked_through_by_a_job_and_the_page_shows_how_far(as_owner, mesh, monkeypatch):
    handed = []
    monkeypatch.setattr(page, "AT_ONCE", 0)
    monkeypatch.setattr(tasks.go_on_supposing, "delay", handed.append)
    answer = as_owner.post(reverse(ASK), line(mesh), follow=True)
    row = Supposal.objects.get()
    assert handed == [row.pk]
    assert "0 of 1 meshes judged so far." in words_of(answer.content.decode())
    assert answer.headers["Refresh"] == "5"
    suppose.go_on(row.pk, lambda: make.NOW)
    done = as_owner.get(reverse("what-if-answer", args=[row.pk]))
    assert "1 mesh is no longer bare" in words_of(done.content.decode())
    assert "Refresh" not in done.headers


def test_the_page_can_be_held_still(as_owner, mesh, monkeypatch):
    monkeypatch.setattr(page, "AT_ONCE", 0)
    monkeypatch.setattr(tasks.go_on_supposing, "delay", lambda *_: None)
    as_owner.post(reverse(ASK), line(mesh))
    answer = as_owner.get(reverse("what-if-answer", args=[Supposal.objects.get().pk]), {"still": 1})
    assert "Refresh" not in answer.headers


def test_a_queue_that_is_away_is_said_and_loses_nothing(as_owner, mesh, monkeypatch):
    monkeypatch.setattr(page, "AT_ONCE", 0)
    monkeypatch.setattr(tasks, "hand_out_supposal", lambda number: False)
    assert "The queue does not answer." in ask(as_owner, **line(mesh))
    assert Supposal.objects.get().finished_at is None


def test_meshes_that_could_not_be_judged_are_shown(as_owner, mesh):
    mesh.security_mode = "centrall"
    mesh.save()
    assert f"{mesh.code} ValueError" in ask(as_owner, drill_days=182, wait_days=14)


def test_an_answer_takes_the_same_statements_however_long_it_is(as_owner, mesh, django_assert_num_queries):
    ask(as_owner, **line(mesh))
    url = reverse("what-if-answer", args=[Supposal.objects.get().pk])
    with django_assert_num_queries(8):  # session, person, answer, homes, round, firm, count, rows
        as_owner.get(url)
    for _ in range(3):
        covered_mesh()
    ask(as_owner, **line(mesh, drill_days=30))
    url = reverse("what-if-answer", args=[Supposal.objects.first().pk])
    with django_assert_num_queries(8):
        as_owner.get(url)


@pytest.mark.parametrize(
    ("role", "status"),
    [(Role.OWNER, 200), (Role.OFFICE, 200), (Role.TECHNICIAN, 404), (Role.SUBCONTRACTOR, 404)],
)
def test_supposing_is_for_the_owner_and_the_office(client, mesh, role, status):
    row = suppose.ask(page.from_data({**EMPTY, "drill_days": 182}), "Orla", make.NOW)
    ends = {"access_ends_on": "2999-01-01"} if role == Role.SUBCONTRACTOR else {}
    client.force_login(make.person(role=role, **ends))
    asked = [
        client.get(reverse(ASK)),
        client.get(reverse("what-if-answer", args=[row.pk])),
        client.post(reverse(ASK), {"drill_days": "0"}),
    ]
    assert [answer.status_code for answer in asked] == [status] * 3
    assert (f'href="{reverse(ASK)}"' in client.get(reverse("board")).content.decode()) is (status == 200)


EMPTY = {
    "added": [],
    "taken": [],
    "drill_days": None,
    "point_hours": None,
    "policies": [],
    "wait_days": 14,
}


def test_nobody_supposes_without_signing_in(client, mesh):
    assert client.get(reverse(ASK)).status_code == 302
    assert client.post(reverse(ASK), {"drill_days": 1}).status_code == 302


def test_the_known_places_are_named_where_a_place_is_asked_for(as_owner, mesh):
    make.place(code="VAN-9")

    said = as_owner.get(reverse(ASK)).content.decode()

    assert "The code of a shelf or a van (" in said
    named = re.search(r"a shelf or a van \(([^)]*)\)", said).group(1).split(", ")
    assert {"SHELF-1", "VAN-9"} <= set(named)
    assert '<option value="VAN-9">' in said


def test_a_book_without_places_says_so(as_owner):
    assert "(none is in the book yet)" in as_owner.get(reverse(ASK)).content.decode()
