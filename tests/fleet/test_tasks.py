"""Background jobs: what is handed out, and when a round begins by itself."""

from datetime import timedelta

import pytest
from kombu.exceptions import OperationalError as QueueDown

from fleet import tasks
from fleet.models import Round, RoundState
from fleet.queries import clock
from fleet.verbs import round as rounds
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def handed_out(monkeypatch) -> list[tuple[int, int]]:
    """What was put on the queue, instead of a queue."""
    found: list[tuple[int, int]] = []
    monkeypatch.setattr(tasks.run_chunk, "delay", lambda *given: found.append(given))
    return found


def work(report, number=1):
    return tasks.run_chunk.apply(args=[report.pk, number]).get()


def test_a_round_that_is_due_begins_and_its_chunks_are_handed_out(handed_out, settings):
    settings.ROUND_CHUNK = 1
    for _ in range(2):
        make.mesh()

    tasks.look_after_rounds()

    report = Round.objects.get()
    assert report.asked_by == "schedule"
    assert handed_out == [(report.pk, 1), (report.pk, 2)]


def test_a_second_look_begins_nothing(handed_out):
    make.mesh()
    tasks.look_after_rounds()
    handed_out.clear()

    tasks.look_after_rounds()

    assert (Round.objects.count(), handed_out) == (1, [])


def test_what_was_lost_is_handed_out_again(handed_out, monkeypatch):
    make.mesh()
    tasks.look_after_rounds()
    handed_out.clear()
    real = clock.book_time().now
    later = clock.BookTime(real + timedelta(minutes=5), timedelta(0), 0.0)
    monkeypatch.setattr(tasks, "book_time", lambda: later)

    tasks.look_after_rounds()

    assert handed_out == [(Round.objects.get().pk, 1)]


def test_a_chunk_is_worked_on_and_ends_its_round():
    mesh = make.mesh()
    report = rounds.begin(clock.book_time().now, by="test")

    assert work(report) == "done"

    mesh.refresh_from_db()
    report.refresh_from_db()
    assert (mesh.assessed_at, report.state) == (report.started_at, RoundState.DONE)


def test_a_chunk_of_a_round_that_is_over_is_left_alone():
    make.mesh()
    report = rounds.begin(clock.book_time().now, by="test")
    work(report)

    assert work(report) == "elsewhere"


def test_a_chunk_that_was_put_down_goes_back_on_the_queue(handed_out, monkeypatch):
    monkeypatch.setattr(tasks, "A_WHILE", timedelta(0))
    make.mesh()
    report = rounds.begin(clock.book_time().now, by="test")

    assert work(report) == "put down"
    assert handed_out == [(report.pk, 1)]


def test_a_queue_that_is_away_is_no_error(monkeypatch):
    def away(*_):
        raise QueueDown("connection refused")

    monkeypatch.setattr(tasks.run_chunk, "delay", away)
    make.mesh()

    tasks.look_after_rounds()

    assert Round.objects.get().state == RoundState.RUNNING


def test_a_job_never_outlives_the_lease_of_its_chunk(settings):
    assert tasks.run_chunk.soft_time_limit < tasks.run_chunk.time_limit <= settings.ROUND_LEASE_SECONDS


def test_redis_hands_no_job_out_twice_while_it_may_still_run(settings):
    longest = max(settings.CELERY_TASK_TIME_LIMIT, tasks.run_chunk.time_limit)
    assert longest < settings.HANDED_OUT_AGAIN_SECONDS
