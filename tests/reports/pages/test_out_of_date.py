"""Sheets across the book that are out of date: which, where, since when, what changed, and made anew."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.queries.clock import book_time
from reports import tasks
from reports.models import Remaking, Sheet, SheetKind, SheetToMake
from reports.queries.out_of_date import to_be_hung
from reports.verbs import remaking
from tests import make
from tests.reports.papers import home_with_papers

pytestmark = pytest.mark.django_db


@pytest.fixture
def stale():
    home = make.site(code="KELP-7")
    changed = {"stale_since": make.NOW, "changed": ["contacts.name", "mesh.key_mark"]}
    return make.sheet(home, make.mesh(site=home), **changed)


def text(answer):
    return re.sub(r"\s+", " ", re.sub("<[^>]+>", "", answer.content.decode()))


def papers(client):
    return text(client.get(reverse("papers")))


def test_none_out_of_date_is_said_in_the_first_line(as_owner):
    make.sheet(make.site())

    assert "No sheet on a wall is out of date." in papers(as_owner)


def test_each_is_listed_with_home_kind_day_and_what_changed(as_owner, stale):
    said = papers(as_owner)

    assert "One sheet on a wall is out of date." in said
    assert f"{stale.number} Recovery sheet" in said
    assert "KELP-7-A" in said
    assert "since 26 Mar 2027, 08:00 UTC" in said
    assert "people to call: name, the mesh: network key" in said


def test_what_changed_is_not_invented_where_it_is_not_known(as_owner, stale):
    Sheet.objects.update(changed=[])

    assert "not known: the sheet was issued before its sections were noted" in papers(as_owner)


def test_more_are_counted_and_replaced_ones_are_not(as_owner, stale):
    make.sheet(make.site(), stale_since=make.NOW)
    old = make.sheet(make.site(), stale_since=make.NOW)
    make.sheet(old.site, revision=2, replaces=old)

    assert "2 sheets on walls are out of date." in papers(as_owner)


def test_those_that_could_not_be_compared_are_told(as_owner, stale):
    Sheet.objects.update(check_error="ValueError 0badcafe")

    said = papers(as_owner)
    assert "1 could not be looked at." in said
    assert "ValueError 0badcafe" in said


def test_new_ones_are_to_be_carried_to_the_home(as_owner):
    old = make.sheet(make.site(code="KELP-7"))
    new = make.sheet(old.site, revision=2, replaces=old, issued_at=make.NOW)
    other = make.sheet(make.site())
    make.sheet(other.site, revision=2, replaces=other, issued_at=make.NOW)

    said = papers(as_owner)
    assert "2 homes have an old sheet on the wall." in said
    assert "No sheet on a wall is out of date" not in said
    assert "swap the paper at the home" in said
    assert said.index("KELP-7") < said.index(new.number) < said.index(old.number)
    assert "since 26 Mar 2027, 08:00 UTC" in said


def test_a_home_with_two_old_sheets_counts_once_and_a_stale_one_is_said_too(as_owner, stale):
    for old in (stale, make.sheet(stale.site)):
        make.sheet(stale.site, old.mesh, revision=2, replaces=old)
    make.sheet(make.site(), stale_since=make.NOW)

    assert "One home has an old sheet on the wall. One sheet on a wall is out of date." in papers(as_owner)


def test_the_button_ends_the_alarm(as_owner, owner):
    old = make.sheet(make.site())
    new = make.sheet(old.site, revision=2, replaces=old)
    assert "The new one hangs there" in papers(as_owner)

    answer = as_owner.post(reverse("sheet-hung", args=[new.number]), {"back": "papers"}, follow=True)

    assert "No sheet on a wall is out of date." in text(answer)
    new.refresh_from_db()
    assert new.hung_by == str(owner)


def test_the_first_sheet_of_a_home_raises_no_alarm(as_owner):
    make.sheet(make.site())

    assert "The new one hangs there" not in papers(as_owner)


def test_a_replaced_job_sheet_hangs_on_no_wall(as_owner):
    mesh = make.mesh()
    old = make.sheet(mesh.site, mesh, kind=SheetKind.JOB)
    make.sheet(mesh.site, mesh, kind=SheetKind.JOB, revision=2, replaces=old)

    assert "No sheet on a wall is out of date." in papers(as_owner)


def test_an_erased_home_has_no_wall(as_owner):
    old = make.sheet(make.site(client=make.client(erased_at=make.NOW)))
    make.sheet(old.site, revision=2, replaces=old)

    assert "No sheet on a wall is out of date." in papers(as_owner)


def test_old_is_counted_from_the_first_revision_after_the_one_that_hangs():
    home = make.site()
    first = make.sheet(home, issued_at=make.NOW - timedelta(days=9))
    second = make.sheet(home, revision=2, replaces=first, issued_at=make.NOW - timedelta(days=7))
    third = make.sheet(home, revision=3, replaces=second, issued_at=make.NOW - timedelta(days=5))
    make.sheet(home, revision=4, replaces=third, issued_at=make.NOW - timedelta(days=1))
    assert to_be_hung().get().old_since == second.issued_at

    Sheet.objects.filter(pk=second.pk).update(hung_at=make.NOW - timedelta(days=6))

    assert to_be_hung().get().old_since == third.issued_at


def test_all_are_made_anew_in_the_background_with_progress(as_owner, monkeypatch):
    mesh = home_with_papers()
    mesh.site.contacts.update(name="Tobias")
    Sheet.objects.update(stale_since=make.NOW)
    jobs = []
    monkeypatch.setattr(tasks.make_sheets, "apply_async", lambda **given: jobs.append(given))

    answer = as_owner.post(reverse("papers-anew"))
    begun = Remaking.objects.get()
    assert answer.url == reverse("papers-making", args=[begun.pk])
    page = as_owner.get(answer.url)
    assert "0 of 2 sheets are made anew." in text(page)
    assert page.headers["Refresh"] == "10"
    assert "Refresh" not in as_owner.get(f"{answer.url}?still=1").headers

    remaking.work(book_time().clock)

    done = as_owner.get(answer.url)
    assert "2 of 2 sheets were made anew." in text(done)
    assert "Refresh" not in done.headers
    assert len(jobs) == 1


def test_one_alone_is_made_anew(as_owner, stale, monkeypatch):
    make.sheet(make.site(), stale_since=make.NOW)
    monkeypatch.setattr(tasks.make_sheets, "apply_async", lambda **given: None)

    as_owner.post(reverse("papers-anew"), {"number": stale.number})

    assert SheetToMake.objects.get().sheet == stale


def test_what_is_being_made_already_is_said_to_be(as_owner, stale, monkeypatch):
    monkeypatch.setattr(tasks.make_sheets, "apply_async", lambda **given: None)
    as_owner.post(reverse("papers-anew"))

    answer = as_owner.post(reverse("papers-anew"), follow=True)

    assert "each of them is being made already" in text(answer)


def test_a_sheet_that_is_not_out_of_date_is_not_made_anew(as_owner):
    sheet = make.sheet(make.site())

    assert as_owner.post(reverse("papers-anew"), {"number": sheet.number}).status_code == 404


def test_errors_are_listed_with_their_number(as_owner, stale):
    begun = remaking.begin([stale], "Orla", make.NOW)
    SheetToMake.objects.update(done_at=make.NOW, error="ValueError", error_id="0badcafe")
    Remaking.objects.update(finished_at=make.NOW)

    said = text(as_owner.get(reverse("papers-making", args=[begun.pk])))
    assert "0 of 1 sheets were made anew, 1 failed." in said
    assert "0badcafe" in said


@pytest.mark.parametrize("sheets", [1, 12])
def test_the_list_takes_a_fixed_number_of_statements(as_owner, django_assert_num_queries, sheets):
    for _ in range(sheets):
        old = make.sheet(make.site())
        make.sheet(old.site, revision=2, replaces=old, stale_since=make.NOW, issued_at=timezone.now())
    # session, person, count, rows, not compared, homes, those to be hung, at work, over
    with django_assert_num_queries(9):
        as_owner.get(reverse("papers"))
