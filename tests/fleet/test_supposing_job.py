"""The job that works an answer out: put down and taken up, lost and found again."""

from datetime import timedelta

import pytest
from kombu.exceptions import OperationalError as QueueDown

from fleet import tasks
from fleet.models import Supposal
from fleet.planning.supposing import Supposition
from fleet.queries import clock
from fleet.verbs import suppose
from fleet.verbs.kept_answers import LOST_AFTER
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def handed_out(monkeypatch) -> list[int]:
    """What was put on the queue, instead of a queue."""
    found: list[int] = []
    monkeypatch.setattr(tasks.go_on_supposing, "delay", found.append)
    monkeypatch.setattr(tasks.run_chunk, "delay", lambda *given: None)
    return found


@pytest.fixture
def asked() -> Supposal:
    make.mesh()
    return suppose.ask(Supposition(drill_days=30), "Orla", clock.book_time().now)


def work(row: Supposal) -> str:
    return tasks.go_on_supposing.apply(args=[row.pk]).get()


def test_an_answer_is_worked_out_by_its_job(asked, handed_out):
    assert work(asked) == "done"
    asked.refresh_from_db()
    assert (asked.done, asked.finished_at is not None, handed_out) == (1, True, [])


def test_an_answer_that_was_put_down_goes_back_on_the_queue(asked, handed_out, monkeypatch):
    monkeypatch.setattr(tasks, "A_WHILE", timedelta(0))
    assert work(asked) == "put down"
    assert handed_out == [asked.pk]


def test_an_answer_that_was_let_go_is_left_alone(asked, handed_out):
    asked.delete()
    asked.pk = 1
    assert work(asked) == "elsewhere"


def test_an_answer_that_lost_its_worker_is_handed_out_again(asked, handed_out, monkeypatch):
    tasks.look_after_rounds()
    assert handed_out == []
    later = clock.BookTime(asked.asked_at + timedelta(minutes=5), timedelta(0), 0.0)
    monkeypatch.setattr(tasks, "book_time", lambda: later)
    tasks.look_after_rounds()
    assert handed_out == [asked.pk]


def test_a_queue_that_is_away_is_no_error(asked, monkeypatch):
    def away(*_):
        raise QueueDown("connection refused")

    monkeypatch.setattr(tasks.go_on_supposing, "delay", away)
    assert tasks.hand_out_supposal(asked.pk) is False


def test_a_worker_that_works_is_not_taken_for_lost():
    """It gives a sign after each chunk, and puts the answer down after a while."""
    assert tasks.A_WHILE < LOST_AFTER
