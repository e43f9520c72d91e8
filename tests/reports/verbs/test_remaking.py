"""Making sheets anew in the background: each once, whoever is killed and however many are at work."""

from datetime import timedelta

import pytest
from django.db import OperationalError

from fleet.models import JournalEntry
from fleet.queries.spares import SpareShelf
from reports.models import Remaking, Sheet, SheetToMake
from reports.queries.out_of_date import making
from reports.verbs import issuing, remaking, stale
from tests import make
from tests.fleet.verbs.killing import Killed, killed_after
from tests.reports.papers import home_with_papers, newest

pytestmark = pytest.mark.django_db

LATER = make.NOW + timedelta(hours=1)
LAPSED = LATER + remaking.CLAIM + timedelta(seconds=1)


@pytest.fixture
def homes():
    """Two homes whose four sheets are all out of date."""
    found = [home_with_papers(), home_with_papers("SALT-9")]
    for mesh in found:
        mesh.site.contacts.update(name="Tobias")
    stale.mark_stale(LATER, lambda: LATER)
    return found


def begin(now=LATER):
    return remaking.begin(remaking.stale(), "Orla", now)


def work(now=LATER, **given):
    return remaking.work(lambda: now, **given)


def revisions():
    return sorted(Sheet.objects.values_list("site__code", "kind", "revision"))


def test_all_that_are_out_of_date_are_made_anew_once(homes):
    begun = begin()

    assert work() == 4
    assert not remaking.stale().exists()
    assert {row[2] for row in revisions()} == {1, 2}
    assert len(revisions()) == 8
    begun.refresh_from_db()
    assert begun.finished_at == LATER
    assert JournalEntry.objects.get(what="sheets made anew").details == {"sheets": 4, "errors": 0}


def test_what_waits_already_is_not_asked_for_twice(homes):
    begin()

    assert begin() is None
    assert SheetToMake.objects.count() == 4


def test_a_second_call_makes_nothing_more(homes):
    begin()
    work()

    assert work() == 0
    assert len(revisions()) == 8


def test_one_sheet_alone_is_made_anew(homes):
    wanted = newest(homes[0], "recovery")
    remaking.begin([wanted], "Orla", LATER)
    work()

    assert newest(homes[0], "recovery").replaces == wanted
    assert remaking.stale().count() == 3


def test_a_killed_worker_leaves_a_claim_that_lapses_and_the_next_goes_on(homes, monkeypatch):
    begin()
    with pytest.raises(Killed):
        work(step=killed_after(2))
    real = issuing._kept

    def killed(*given):
        raise Killed

    with monkeypatch.context() as dying:
        dying.setattr(issuing, "_kept", killed)
        with pytest.raises(Killed):
            work()
    assert issuing._kept is real

    # The sheet it had in hand is held still; one is free.
    assert work() == 1
    assert work(LAPSED) == 1
    assert len(revisions()) == 8
    assert Remaking.objects.get().finished_at == LAPSED


def test_two_who_make_the_same_sheet_make_one_revision(homes, monkeypatch):
    """The second is overtaken between drawing and putting down."""
    sheet = newest(homes[0], "recovery")
    real = issuing._kept
    overtaken = []

    def kept(row, *given):
        if not overtaken:
            overtaken.append(True)
            issuing.revise(Sheet.objects.get(pk=sheet.pk), "the other", LATER, SpareShelf.load())
        return real(row, *given)

    monkeypatch.setattr(issuing, "_kept", kept)
    made = issuing.revise(sheet, "Orla", LATER, SpareShelf.load())

    assert made.issued_by == "the other"
    assert sheet.site.sheets.filter(kind="recovery").count() == 2
    assert JournalEntry.objects.filter(what="sheet issued", who="Orla", at=LATER).count() == 0


def test_one_that_fails_does_not_stop_the_rest(homes, monkeypatch):
    begun = begin()
    bad = newest(homes[0], "handover").pk
    real = remaking.revise

    def revise(sheet, *given):
        if sheet.pk == bad:
            raise ValueError("Ingunn Sæther lives here")
        return real(sheet, *given)

    monkeypatch.setattr(remaking, "revise", revise)

    assert work() == 4
    begun.refresh_from_db()
    found = making(begun, LATER)
    assert (found.done, found.made, len(found.errors)) == (4, 3, 1)
    assert (found.errors[0].sheet_id, found.errors[0].error) == (bad, "ValueError")
    assert len(found.errors[0].error_id) == 8
    assert begun.finished_at == LATER
    assert list(remaking.stale().values_list("pk", flat=True)) == [bad]


def test_one_that_kills_its_workers_is_stepped_over(homes, monkeypatch):
    remaking.begin([newest(homes[0], "recovery")], "Orla", LATER)

    def killed(*given):
        raise Killed

    moment = LATER
    with monkeypatch.context() as dying:
        dying.setattr(remaking, "revise", killed)
        for _ in range(remaking.MOST_TRIES):
            with pytest.raises(Killed):
                work(moment)
            moment += remaking.CLAIM + timedelta(seconds=1)
        assert work(moment) == 1

    assert SheetToMake.objects.get().error == "WorkerLost"
    assert Remaking.objects.get().finished_at == moment


def test_trouble_with_the_database_is_raised_and_the_sheet_comes_again(homes, monkeypatch):
    begin()

    def away(*given):
        raise OperationalError("the server went away")

    with monkeypatch.context() as broken:
        broken.setattr(remaking, "revise", away)
        with pytest.raises(OperationalError):
            work()

    assert work(LAPSED) == 4
    assert SheetToMake.objects.exclude(error="").count() == 0


def test_a_fact_that_was_changed_back_makes_no_revision_and_lifts_the_mark(homes):
    begun = begin()
    for mesh in homes:
        mesh.site.contacts.update(name="Mere Tāmoana")

    work()

    assert len(revisions()) == 4
    assert not remaking.stale().exists()
    assert making(begun, LATER).made == 0


def test_a_sheet_that_was_replaced_meanwhile_counts_as_dealt_with(homes):
    begun = begin()
    issuing.renew_stale(LATER, "Noor")

    work()

    assert len(revisions()) == 8
    begun.refresh_from_db()
    assert begun.finished_at == LATER


def test_work_is_put_down_when_time_is_up(homes):
    begin()
    moments = iter([LATER] * 4 + [LATER + timedelta(minutes=2)] * 9)

    remaking.work(lambda: next(moments), until=LATER + timedelta(minutes=1))

    assert 1 <= SheetToMake.objects.filter(done_at=None).count() <= 3


def test_progress_has_a_pace_and_an_end(homes):
    begun = begin()
    remaking.work(lambda: LATER, step=_stop_after_two())

    found = making(begun, LATER + timedelta(seconds=4))
    assert (found.done, found.pace.left, found.pace.per_second) == (2, 2, 0.5)
    assert found.pace.ends_at == LATER + timedelta(seconds=8)


def _stop_after_two():
    left = [2]

    def step():
        left[0] -= 1
        if not left[0]:
            SheetToMake.objects.filter(done_at=None).update(held_until=LAPSED)

    return step
