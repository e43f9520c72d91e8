"""Background jobs of paper: what is handed out after a round, and that nothing is handed out for nothing."""

import pytest
from kombu.exceptions import OperationalError as QueueDown

from fleet.queries.clock import book_time
from fleet.verbs import round as rounds
from reports import tasks
from reports.models import Sheet
from reports.verbs import remaking
from tests import make
from tests.reports.papers import home_with_papers

pytestmark = pytest.mark.django_db


@pytest.fixture
def handed_out(monkeypatch) -> list[str]:
    """What was put on the queue, instead of a queue."""
    found: list[str] = []
    for task in (tasks.compare_sheets, tasks.make_sheets):
        monkeypatch.setattr(task, "apply_async", lambda expires, name=task.__name__: found.append(name))
    return found


@pytest.fixture
def stale_home():
    """A home whose contact has changed since its papers were compared last."""
    mesh = home_with_papers()
    Sheet.objects.update(checked_at=book_time().now)
    mesh.site.contacts.update(name="Tobias")
    return mesh


def test_without_a_round_nothing_is_compared(handed_out, stale_home):
    tasks.look_after_papers()

    assert handed_out == []


def test_after_a_round_sheets_are_compared_and_then_no_more(handed_out, stale_home):
    rounds.run(book_time().clock, by="test")

    tasks.look_after_papers()
    assert handed_out == ["compare_sheets"]
    tasks.compare_sheets()
    tasks.look_after_papers()

    assert handed_out == ["compare_sheets"]
    assert remaking.stale().count() == 2


def test_the_schedule_asks_for_new_ones_and_a_worker_makes_them(handed_out, stale_home):
    rounds.run(book_time().clock, by="test")
    tasks.compare_sheets()

    tasks.renew_stale_sheets()
    assert handed_out == ["make_sheets"]
    tasks.make_sheets()

    assert not remaking.stale().exists()
    assert Sheet.objects.filter(revision=2, issued_by="schedule").count() == 2


def test_what_was_lost_is_handed_out_again(handed_out, stale_home):
    rounds.run(book_time().clock, by="test")
    tasks.compare_sheets()
    tasks.renew_stale_sheets()
    handed_out.clear()

    tasks.look_after_papers()

    assert handed_out == ["make_sheets"]


def test_many_sheets_are_shared_among_more_jobs_but_not_without_end(handed_out):
    tasks.hand_out_making(tasks.SHEETS_A_JOB + 1)
    assert len(handed_out) == 2
    handed_out.clear()
    tasks.hand_out_making(10**6)
    assert len(handed_out) == tasks.MOST_JOBS


def test_a_queue_that_is_away_is_told_and_costs_nothing(monkeypatch):
    def away(**given):
        raise QueueDown("nobody listens")

    monkeypatch.setattr(tasks.make_sheets, "apply_async", away)

    assert tasks.hand_out_making(3) is False


def test_a_missing_sheet_is_made_by_the_schedule(handed_out):
    make.firm()
    mesh = make.mesh()
    make.service(mesh)

    tasks.renew_stale_sheets()

    assert sorted(mesh.site.sheets.values_list("kind", flat=True)) == ["handover", "recovery"]
