"""A morning's round over books of 1,000 and 10,000 homes, by one Celery worker and by two, on PostgreSQL and Redis.

Run from the project's folder: python -m tests.bench.bench_round [HOMES [TURNS]]
Needs PostgreSQL on 127.0.0.1:5432 (user postgres, trusted) and redis-server. Makes databases, a Redis and a data folder
of its own and takes them away again. Every round begins on a fresh copy of the book, and the two ways take turns.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from contextlib import ExitStack
from datetime import UTC, datetime
from pathlib import Path
from statistics import median

import django
import psycopg

from tests.bench.push_servers import SERVER, own_database
from tests.own_servers import celery, free_port, redis_answers, redis_in, running, wait_for

HOMES, FEW = 10_000, 1_000
TURNS = 3
HOLD_RATIO, HOLD_GROWTH, HOLD_SECONDS, HOLD_HOMES = 1.7, 1.2, 600, 5_000
PATIENCE_SECONDS = 3_600


def book(homes: int) -> None:
    """Fill the database that Django was set up with."""
    from django.core.management import call_command
    from django.db import connection

    from tests.bench.round_book import build

    began = time.monotonic()
    call_command("migrate", verbosity=0)
    build(homes, datetime.now(UTC))
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    connection.close()
    print(f"a book of {homes:,} homes made in {time.monotonic() - began:.0f} s", flush=True)


def seconds_of_round(template: str, workers: int, env: Mapping[str, str], folder: Path) -> float:
    """From the first chunk handed out to the last one done, on a copy of the template."""
    with own_database() as database, ExitStack() as stack:
        name = database.rpartition("/")[2]
        with psycopg.connect(f"{SERVER}/postgres", autocommit=True) as server:
            server.execute(f"DROP DATABASE {name}")
            server.execute(f"CREATE DATABASE {name} TEMPLATE {template}")
            server.execute("CHECKPOINT")
        told = {**env, "SPAREBOOK_DATABASE": database}
        for number in range(workers):
            stack.enter_context(running(celery("worker", told, f"w{number}", folder / f"worker-{number}")))
        wait_for(lambda: _ready(told, workers), "the workers' start")
        return _round(told, database)


def _ready(told: Mapping[str, str], workers: int) -> bool:
    from celery import Celery

    asker = Celery(broker=told["SPAREBOOK_REDIS"])
    asker.conf.broker_transport_options = {"global_keyprefix": "sparebook:"}
    return len(asker.control.ping(timeout=1) or []) == workers


BEGIN = """
from fleet.queries.clock import book_time
from fleet.tasks import hand_out
from fleet.verbs import round
report = round.begin(book_time().now, "bench")
hand_out(report.pk, report.chunks.values_list("number", flat=True))
"""


def _round(told: Mapping[str, str], database: str) -> float:
    subprocess.run(
        [sys.executable, "manage.py", "shell", "--no-imports", "-c", BEGIN], env=dict(told), check=True
    )
    with psycopg.connect(database, autocommit=True) as line:

        def done() -> bool:
            row = line.execute(
                "SELECT state, done, total, errors FROM fleet_round ORDER BY id DESC LIMIT 1"
            ).fetchone()
            return row is not None and row[0] == "done" and row[1] == row[2] and row[3] == []

        wait_for(done, "the end of the round", PATIENCE_SECONDS)
        took = "SELECT extract(epoch FROM finished_at - started_at) FROM fleet_round ORDER BY id DESC LIMIT 1"
        (seconds,) = line.execute(took).fetchone()  # type: ignore[misc]
    return float(seconds)


def main(homes: int = HOMES, turns: int = TURNS) -> None:
    """Two books, and rounds in turn."""
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        port = free_port()
        stack.enter_context(running(redis_in(folder, port)))
        wait_for(lambda: redis_answers(port), "Redis's start")
        few, many = (stack.enter_context(own_database()) for _ in range(2))
        env = {
            **os.environ,
            "SPAREBOOK_REDIS": f"redis://127.0.0.1:{port}/0",
            "SPAREBOOK_HOME": str(folder / "home"),
            "DJANGO_SETTINGS_MODULE": "fleet.config.settings",
        }
        for database, size in ((few, FEW), (many, homes)):
            _fill(database, size, env)
        small, large = (database.rpartition("/")[2] for database in (few, many))
        one = [seconds_of_round(small, 1, env, folder) for _ in range(turns)]
        print(f"{FEW:,} homes, 1 worker: {_shown(one, FEW)}", flush=True)
        alone, both = [], []
        for _ in range(turns):
            alone.append(seconds_of_round(large, 1, env, folder))
            both.append(seconds_of_round(large, 2, env, folder))
            print(f"  {homes:,} homes: 1 worker {alone[-1]:.1f} s, 2 workers {both[-1]:.1f} s", flush=True)
    ratio = median(a / b for a, b in zip(alone, both, strict=True))
    growth = (median(alone) / homes) / (median(one) / FEW)
    whole = median(alone) * HOLD_HOMES / homes
    print(f"{homes:,} homes, 1 worker: {_shown(alone, homes)}; 2 workers: {_shown(both, homes)}")
    print(f"  2 workers against 1: {ratio:.2f} (hold {HOLD_RATIO})")
    print(f"  cost a mesh, {homes:,} against {FEW:,}: {growth:.2f} (hold {HOLD_GROWTH})")
    print(f"  {HOLD_HOMES:,} homes, 1 worker: {whole:.0f} s (hold {HOLD_SECONDS})")
    if ratio < HOLD_RATIO or growth > HOLD_GROWTH or whole > HOLD_SECONDS:
        raise SystemExit("not held")


def _fill(database: str, size: int, env: Mapping[str, str]) -> None:
    command = [sys.executable, "-m", "tests.bench.bench_round", "--fill", str(size)]
    subprocess.run(command, env={**env, "SPAREBOOK_DATABASE": database}, check=True)


def _shown(seconds: list[float], homes: int) -> str:
    middle = median(seconds)
    return f"{middle:.1f} s ({min(seconds):.1f} to {max(seconds):.1f}), {middle / homes * 1000:.1f} ms a mesh"


if __name__ == "__main__":
    if sys.argv[1:2] == ["--fill"]:
        django.setup()
        book(int(sys.argv[2]))
    else:
        main(*map(int, sys.argv[1:]))
