"""What only real servers can show: the suite's database is PostgreSQL, and jobs go through Redis to a worker."""

import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from datetime import timedelta

import pytest
from celery import current_app
from django.conf import settings
from django.db import IntegrityError, connection
from django.utils import timezone
from kombu.exceptions import OperationalError as QueueDown

from fleet.models import How, Round, RoundState, ServicePeriod, Snapshot
from fleet.tasks import look_after_rounds, run_chunk
from fleet.verbs import round as rounds
from fleet.verbs.chunk import Holder
from fleet.verbs.intake import Origin, receive
from tests import make
from tests.documents import document
from tests.own_servers import free_port

pytestmark = pytest.mark.django_db(transaction=True)

PATIENCE_SECONDS = 60


def database_address() -> str:
    told = connection.settings_dict
    return f"postgresql://{told['USER']}@{told['HOST']}:{told['PORT'] or 5432}/{told['NAME']}"


@pytest.fixture
def worker(tmp_path) -> Iterator[subprocess.Popen]:
    """One real Celery worker, told everything by its environment, as in production."""
    told = {
        **os.environ,
        "SPAREBOOK_DATABASE": database_address(),
        "SPAREBOOK_REDIS": settings.CELERY_BROKER_URL,
        "SPAREBOOK_HOME": str(tmp_path / "home"),
    }
    command = [
        sys.executable,
        "-m",
        "celery",
        "-A",
        "fleet.config",
        "worker",
        "--concurrency",
        "1",
        "-l",
        "WARNING",
    ]
    process = subprocess.Popen(command, env=told)
    yield process
    process.terminate()
    process.wait(PATIENCE_SECONDS)


def wait_for(happens) -> None:
    until = time.monotonic() + PATIENCE_SECONDS
    while not happens():
        assert time.monotonic() < until, "the worker did not do it in time"
        time.sleep(0.2)


def at_once(threads: list[threading.Thread]) -> None:
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def test_the_suite_runs_on_postgresql():
    assert connection.vendor == "postgresql"


def test_a_round_goes_through_redis_to_a_real_worker(worker):
    mesh = make.mesh()

    look_after_rounds.delay()

    wait_for(lambda: Round.objects.filter(state=RoundState.DONE).exists())
    mesh.refresh_from_db()
    assert mesh.assessed_at is not None


def test_fifty_parallel_pushes_of_one_document_make_one_record():
    mesh = make.mesh()
    body = document(mesh, timezone.now() - timedelta(hours=1))
    kinds = []

    def push() -> None:
        try:
            kinds.append(receive(mesh, body, Origin(How.PUSH, "controller"), timezone.now()).kind)
        finally:
            connection.close()

    threads = [threading.Thread(target=push) for _ in range(50)]
    at_once(threads)

    assert sorted(kinds) == ["repeated"] * 49 + ["stored"]
    assert Snapshot.objects.count() == 1
    assert Snapshot.objects.get().arrivals.count() == 50


def test_two_writers_never_put_one_identity_in_service_twice():
    """A hundred tries, two connections each (trade row F1)."""
    for _ in range(100):
        meshes = [make.mesh(), make.mesh()]
        radios = [make.radio(), make.radio()]
        together = threading.Barrier(2)
        refused = []

        def write(mesh, radio, together=together, refused=refused) -> None:
            together.wait()
            try:
                make.service(mesh, radio, head_address="02A4C138F00D0011", extended_pan_id="02D1CE00F00D0011")
            except IntegrityError:
                refused.append(radio)
            finally:
                connection.close()

        threads = [threading.Thread(target=write, args=pair) for pair in zip(meshes, radios, strict=True)]
        at_once(threads)
        assert len(refused) == 1
        assert ServicePeriod.objects.count() == 1
        ServicePeriod.objects.all().delete()


def test_two_schedulers_at_once_leave_one_round_and_none_hanging(worker):
    mesh = make.mesh()

    look_after_rounds.delay()
    look_after_rounds.delay()

    states = Round.objects.values_list("state", flat=True)
    wait_for(lambda: list(states.all()) == [RoundState.DONE])
    mesh.refresh_from_db()
    assert mesh.assessed_at is not None


def test_two_schedulers_begin_one_round_in_each_of_a_thousand_hours():
    """Trade row O1. The book is empty, so that a round ends at once and only the hour's slot keeps a second one out."""
    hours = [make.NOW + timedelta(hours=hour) for hour in range(1000)]
    together = threading.Barrier(2)
    begun: list[int] = []

    def schedule() -> None:
        try:
            for now in hours:
                together.wait()
                if rounds.is_due(now):
                    try:
                        begun.append(rounds.begin(now, "schedule", scheduled=True).pk)
                    except rounds.AlreadyRunning:
                        continue
        finally:
            connection.close()

    threads = [threading.Thread(target=schedule) for _ in range(2)]
    at_once(threads)

    assert len(begun) == Round.objects.count() == 1000


def test_two_workers_that_are_handed_one_chunk_do_each_mesh_once():
    """A hundred tries, two connections each: the chunk's marks of what was done never count a mesh twice."""
    meshes = [make.mesh() for _ in range(3)]
    for hour in range(100):
        report = rounds.begin(make.NOW + timedelta(hours=hour), "test")
        together = threading.Barrier(2)

        def work(name, together=together, report=report) -> None:
            together.wait()
            try:
                rounds.run_chunk(report.pk, 1, Holder(name), lambda: report.started_at)
            finally:
                connection.close()

        threads = [threading.Thread(target=work, args=[name]) for name in ("north", "south")]
        at_once(threads)
        report.refresh_from_db()
        assert (report.state, report.done, report.errors) == (RoundState.DONE, len(meshes), [])


def test_while_redis_is_away_whoever_hands_out_does_not_wait(settings):
    began = time.monotonic()
    nowhere = current_app.connection_for_write(f"redis://127.0.0.1:{free_port()}/0")
    with nowhere, pytest.raises(QueueDown):
        run_chunk.apply_async(args=[1, 1], connection=nowhere)
    assert time.monotonic() - began < 5
