"""Every sheet in force is compared once a round; what no longer holds is marked, with what changed."""

from datetime import timedelta

import pytest
from django.db import OperationalError

from fleet.models import How, JournalEntry
from fleet.verbs import round as rounds
from fleet.verbs.intake import Origin, receive
from reports import tasks
from reports.models import Sheet
from reports.queries.out_of_date import not_compared, out_of_date, what_changed
from reports.verbs import issuing, stale
from tests import make
from tests.documents import document
from tests.reports.papers import home_with_papers, newest

pytestmark = pytest.mark.django_db

LATER = make.NOW + timedelta(hours=1)


def mark(moment=LATER, **given):
    return stale.mark_stale(moment, lambda: moment, **given)


def test_sheets_whose_facts_hold_are_not_marked():
    home_with_papers()

    assert (mark().compared, mark().stale) == (2, 0)
    assert not out_of_date().exists()


def test_each_sheet_is_compared_once_a_round():
    home_with_papers()

    assert mark().compared == 2
    assert mark().compared == 0
    assert mark(LATER + timedelta(hours=1)).compared == 2


def test_a_changed_fact_marks_the_sheets_that_show_it_and_says_which():
    mesh = home_with_papers()
    home_with_papers("SALT-9")
    mesh.site.contacts.update(name="Tobias")

    assert mark().stale == 2
    marked = list(out_of_date())
    assert {sheet.site.code for sheet in marked} == {"KELP-7"}
    assert {sheet.stale_since for sheet in marked} == {LATER}
    assert [what_changed(sheet) for sheet in marked] == ["people to call: name"] * 2


def test_only_the_sheet_that_shows_the_fact_is_marked():
    mesh = home_with_papers()
    mesh.site.parking = "behind the crane"
    mesh.site.save()

    mark()

    (sheet,) = out_of_date()
    assert (sheet.kind, what_changed(sheet)) == ("recovery", "how to get in: parking")


def test_a_key_change_lists_the_sheets_of_that_mesh_within_one_round():
    """Trade row W8: old sheets on walls are found within one sweep."""
    mesh = home_with_papers()
    home_with_papers("SALT-9")
    body = document(mesh, make.NOW, network_key=bytes(range(7, 23)), key_sequence=1, outgoing_counter=5_000)
    receive(mesh, body, Origin(How.PUSH, "controller"), make.NOW)
    mesh.refresh_from_db()

    rounds.run(lambda: LATER, by="test")
    mark(tasks.last_round_at())

    marked = list(out_of_date())
    assert {(sheet.site.code, sheet.kind) for sheet in marked} == {
        ("KELP-7", "handover"),
        ("KELP-7", "recovery"),
    }
    assert all("network key" in what_changed(sheet) for sheet in marked)


def test_a_fact_that_is_changed_back_lifts_the_mark():
    mesh = home_with_papers()
    mesh.site.contacts.update(name="Tobias")
    mark()
    mesh.site.contacts.update(name="Mere Tāmoana")

    mark(LATER + timedelta(hours=1))

    assert not out_of_date().exists()


def test_a_sheet_stays_marked_from_when_it_was_first_found():
    mesh = home_with_papers()
    mesh.site.contacts.update(name="Tobias")
    mark()

    assert mark(LATER + timedelta(hours=1)).stale == 0
    assert {sheet.stale_since for sheet in out_of_date()} == {LATER}


def test_marking_leaves_one_line_a_sheet_in_the_journal():
    mesh = home_with_papers()
    mesh.site.contacts.update(name="Tobias")
    mark()
    mark(LATER + timedelta(hours=1))

    lines = JournalEntry.objects.filter(what="sheet out of date")
    assert {line.details["number"] for line in lines} == {sheet.number for sheet in out_of_date()}
    assert lines.count() == 2


def test_a_sheet_that_cannot_be_compared_does_not_stop_the_rest(monkeypatch):
    mesh = home_with_papers()
    other = home_with_papers("SALT-9")
    for each in (mesh, other):
        each.site.contacts.update(name="Tobias")
    bad = newest(mesh, "recovery").number
    real = stale.facts_today

    def facts_today(sheet, now, shelf):
        if sheet.number == bad:
            raise ValueError("Ingunn Sæther lives here")
        return real(sheet, now, shelf)

    monkeypatch.setattr(stale, "facts_today", facts_today)

    marked = mark()

    assert (marked.compared, marked.stale, marked.failed) == (3, 3, 1)
    (failed,) = not_compared()
    assert failed.number == bad
    assert failed.check_error.startswith("ValueError ")
    assert "Ingunn" not in failed.check_error


def test_trouble_with_the_database_leaves_the_block_for_the_next_worker(monkeypatch):
    home_with_papers()

    def away(*given):
        raise OperationalError("the server went away")

    with monkeypatch.context() as broken:
        broken.setattr(stale, "facts_today", away)
        with pytest.raises(OperationalError):
            mark()

    assert mark().compared == 2


def test_work_stops_between_two_blocks_when_time_is_up(monkeypatch):
    home_with_papers()
    monkeypatch.setattr(stale, "BLOCK", 1)
    moments = iter([LATER, LATER, LATER + timedelta(minutes=2)])

    marked = stale.mark_stale(LATER, lambda: next(moments), until=LATER + timedelta(minutes=1))

    assert marked.compared == 1
    assert stale.due(LATER).count() == 1


def test_replaced_sheets_are_compared_no_more():
    mesh = home_with_papers()
    mesh.site.contacts.update(name="Tobias")
    issuing.renew_stale(LATER, "Orla")

    old = Sheet.objects.filter(replaced_by__isnull=False)
    assert set(old.values_list("checked_at", "stale_since")) == {(None, LATER)}
    assert [sheet.shown for sheet in old] == [{}, {}]
    assert mark(LATER + timedelta(hours=1)).compared == 2


def test_sheets_of_an_erased_client_are_left_alone():
    mesh = home_with_papers()
    mesh.site.contacts.update(name="Tobias")
    mesh.site.client.erased_at = make.NOW
    mesh.site.client.save()

    assert mark().compared == 0
