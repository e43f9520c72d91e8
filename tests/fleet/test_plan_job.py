"""The job that works a plan out: handed out, done by its task in the embedded mode, lost and found again."""

from datetime import timedelta

import pytest
from kombu.exceptions import OperationalError as QueueDown

from fleet import tasks
from fleet.models import PlanState, VisitPlan
from fleet.queries import clock
from fleet.verbs.visits import planning, solving
from fleet.verbs.visits.planning import Wish
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def handed_out(monkeypatch) -> list[int]:
    """What was put on the queue, instead of a queue."""
    found: list[int] = []
    monkeypatch.setattr(tasks.solve_plan, "delay", found.append)
    monkeypatch.setattr(tasks.run_chunk, "delay", lambda *given: None)
    return found


@pytest.fixture
def asked() -> VisitPlan:
    """A week from today on, by the database's own clock, as the job goes by that."""
    now = clock.book_time().now
    noor = make.driver("noor")
    make.visit()
    first = now.date() + timedelta(days=1)
    return planning.ask(Wish(first, first + timedelta(days=6), [noor], 1), "Orla", now)


def test_a_plan_is_worked_out_by_its_job_within_its_seconds(asked, handed_out):
    assert tasks.solve_plan.apply(args=[asked.pk]).get() == "done"
    asked.refresh_from_db()
    assert asked.state == PlanState.READY
    assert asked.days.get().stops.count() == 1
    # A worker under load may be slow; ten times the seconds is another thing.
    assert asked.finished_at - asked.begun_at < timedelta(seconds=10)
    assert tasks.solve_plan.apply(args=[asked.pk]).get() == "elsewhere"


def test_a_plan_whose_worker_or_message_was_lost_is_handed_out_again(asked, handed_out, monkeypatch):
    tasks.look_after_rounds()
    assert handed_out == []
    later = clock.BookTime(asked.asked_at + timedelta(minutes=5), timedelta(0), 0.0)
    monkeypatch.setattr(tasks, "book_time", lambda: later)
    tasks.look_after_rounds()
    assert handed_out == [asked.pk]


def test_a_queue_that_is_away_is_no_error(asked, monkeypatch):
    def away(*_):
        raise QueueDown("connection refused")

    monkeypatch.setattr(tasks.solve_plan, "delay", away)
    assert tasks.hand_out_plan(asked.pk) is False


def test_a_worker_that_works_is_not_taken_for_lost():
    """It signs twice a second, and its seconds end before a worker is killed."""
    assert timedelta(seconds=solving.SIGN_SECONDS) * 10 < solving.LOST_AFTER
    assert timedelta(seconds=120) < timedelta(seconds=tasks.A_CHUNK["soft_time_limit"])
