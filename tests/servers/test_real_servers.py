"""What only real servers can show: the suite's database is PostgreSQL, and jobs go through Redis to a worker."""

import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.conf import settings
from django.db import IntegrityError, connection
from django.utils import timezone

from fleet.models import How, Round, RoundState, ServicePeriod, Snapshot
from fleet.tasks import run_round
from fleet.verbs.intake import Origin, receive
from tests import make
from tests.documents import document

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


def test_the_suite_runs_on_postgresql():
    assert connection.vendor == "postgresql"


def test_a_round_goes_through_redis_to_a_real_worker(worker):
    mesh = make.mesh()

    run_round.delay()

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
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

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
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(refused) == 1
        assert ServicePeriod.objects.count() == 1
        ServicePeriod.objects.all().delete()


def test_two_rounds_asked_for_at_once_leave_none_hanging(worker):
    mesh = make.mesh()

    run_round.delay()
    run_round.delay()

    states = Round.objects.values_list("state", flat=True)
    wait_for(lambda: states.all() and set(states.all()) == {RoundState.DONE})
    mesh.refresh_from_db()
    assert mesh.assessed_at is not None
