"""A morning's round over books of 1,000 and 10,000 homes, by one Celery worker and by two, on PostgreSQL and Redis.

Run from the project's folder: python -m tests.bench.bench_round [HOMES [TURNS]]
Needs PostgreSQL on 127.0.0.1:5432 (user postgres, trusted) and redis-server. Makes databases, a Redis and a data folder
of its own and takes them away again. Every round begins on a fresh copy of the book. The ways take turns, each for some
seconds of a round under way; at last one round goes to its end.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from statistics import median

import django
import psycopg
from celery import Celery

from tests.bench.push_servers import SERVER, own_database
from tests.own_servers import Process, celery, free_port, redis_answers, redis_in, running, wait_for

HOMES, FEW = 10_000, 1_000
TURNS, WARM, SECONDS = 3, 60, 25
HOLD_RATIO, HOLD_GROWTH, HOLD_SECONDS, HOLD_HOMES = 1.7, 1.2, 600, 5_000
PATIENCE_SECONDS = 3_600
TICKS = os.sysconf("SC_CLK_TCK")

BEGIN = """
from fleet.queries.clock import book_time
from fleet.tasks import hand_out
from fleet.verbs import round
report = round.begin(book_time().now, "bench")
hand_out(report.pk, report.chunks.values_list("number", flat=True))
"""
DONE = """
SELECT r.state, r.total, COALESCE((SELECT sum(done) FROM fleet_roundchunk c WHERE c.round_id = r.id), r.done),
    jsonb_array_length(r.errors), extract(epoch FROM r.finished_at - r.started_at)
FROM fleet_round r ORDER BY r.id DESC LIMIT 1
"""


@dataclass(frozen=True, slots=True)
class Pace:
    """Meshes a second, and the milliseconds of processor time that the workers took for each."""

    per_second: float
    cpu_ms: float


@dataclass(frozen=True, slots=True)
class Side:
    """One way of doing it: a book by its template's name, its size, and how many workers."""

    template: str
    homes: int
    workers: int


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


@contextmanager
def under_way(
    side: Side, env: Mapping[str, str], folder: Path
) -> Iterator[tuple[psycopg.Connection, list[Process]]]:
    """A round that has just been handed out on a copy of the book, and the workers at it."""
    with own_database() as database, ExitStack() as stack:
        name = database.rpartition("/")[2]
        with psycopg.connect(f"{SERVER}/postgres", autocommit=True) as server:
            server.execute(f"DROP DATABASE {name}")
            server.execute(f"CREATE DATABASE {name} TEMPLATE {side.template}")
            server.execute("CHECKPOINT")
        told = {**env, "SPAREBOOK_DATABASE": database}
        port = free_port()
        told["SPAREBOOK_REDIS"] = f"redis://127.0.0.1:{port}/0"
        stack.enter_context(running(redis_in(folder, port)))
        wait_for(lambda: redis_answers(port), "Redis's start")
        workers = [
            stack.enter_context(running(celery("worker", told, f"w{number}", folder / f"worker-{number}")))
            for number in range(side.workers)
        ]
        wait_for(lambda: answering(told["SPAREBOOK_REDIS"]) == side.workers, "the workers' start")
        begin = [sys.executable, "manage.py", "shell", "--no-imports", "-c", BEGIN]
        subprocess.run(begin, env=told, check=True)
        yield stack.enter_context(psycopg.connect(database, autocommit=True)), workers


def answering(redis: str) -> int:
    """How many workers answer on this Redis."""
    asker = Celery(broker=redis)
    asker.conf.broker_transport_options = {"global_keyprefix": "sparebook:"}
    return len(asker.control.ping(timeout=1) or [])


def pace_of(side: Side, env: Mapping[str, str], folder: Path) -> Pace:
    """Over some seconds of a round that has warmed up."""
    with under_way(side, env, folder) as (line, workers):
        wait_for(lambda: _done(line)[2] >= WARM * side.workers, "the first meshes", PATIENCE_SECONDS)
        done, cpu, began = _done(line)[2], _cpu(workers), time.monotonic()
        time.sleep(SECONDS)
        done, cpu, took = _done(line)[2] - done, _cpu(workers) - cpu, time.monotonic() - began
    return Pace(done / took, cpu / done * 1000)


def whole_round(side: Side, env: Mapping[str, str], folder: Path) -> float:
    """Seconds from its beginning to its end; SystemExit where a mesh failed or was left out."""
    with under_way(side, env, folder) as (line, _):
        wait_for(lambda: _done(line)[0] == "done", "the end of the round", PATIENCE_SECONDS)
        _, total, done, errors, seconds = _done(line)
    if (total, done, errors) != (side.homes, side.homes, 0):
        raise SystemExit(f"{done} of {total} meshes were done, with {errors} errors")
    return float(seconds)


def _done(line: psycopg.Connection) -> tuple:
    row = line.execute(DONE).fetchone()
    assert row is not None
    return row


def _cpu(workers: list[Process]) -> float:
    """Seconds of processor time that the workers and their children have taken."""
    pids = [pid for worker in workers if worker.child for pid in (worker.child.pid, *worker.children())]
    fields = [Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split() for pid in pids]
    return sum(int(each[11]) + int(each[12]) for each in fields) / TICKS


def main(homes: int = HOMES, turns: int = TURNS) -> None:
    """Two books, three ways in turn, and a round to its end."""
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        settings = {"SPAREBOOK_HOME": str(folder / "home"), "DJANGO_SETTINGS_MODULE": "fleet.config.settings"}
        env = {**os.environ, **settings}
        names = {}
        for size in (FEW, homes):
            database = stack.enter_context(own_database())
            fill = [sys.executable, "-m", "tests.bench.bench_round", "--fill", str(size)]
            subprocess.run(fill, env={**env, "SPAREBOOK_DATABASE": database}, check=True)
            names[size] = database.rpartition("/")[2]
        sides = [Side(names[FEW], FEW, 1), Side(names[homes], homes, 1), Side(names[homes], homes, 2)]
        paces: dict[Side, list[Pace]] = {side: [] for side in sides}
        for _ in range(turns):
            for side in sides:
                paces[side].append(pace_of(side, env, folder))
                last = paces[side][-1]
                print(
                    f"  {_named(side)}: {last.per_second:.1f}/s, {last.cpu_ms:.1f} ms of CPU a mesh",
                    flush=True,
                )
        whole = whole_round(sides[2], env, folder)
    few, one, two = (paces[side] for side in sides)
    ratio = median(b.per_second / a.per_second for a, b in zip(one, two, strict=True))
    growth = median(a.per_second / b.per_second for a, b in zip(few, one, strict=True))
    alone = HOLD_HOMES / median(each.per_second for each in one)
    print(f"{_named(sides[2])}: all done in {whole:.0f} s")
    print(f"  2 workers against 1: {ratio:.2f} (hold {HOLD_RATIO})")
    print(f"  time a mesh, {homes:,} homes against {FEW:,}: {growth:.2f} (hold {HOLD_GROWTH})")
    print(f"  {HOLD_HOMES:,} homes by 1 worker: {alone:.0f} s (hold {HOLD_SECONDS})")
    if ratio < HOLD_RATIO or growth > HOLD_GROWTH or alone > HOLD_SECONDS:
        raise SystemExit("not held")


def _named(side: Side) -> str:
    return f"{side.homes:,} homes, {side.workers} worker{'s' if side.workers > 1 else ''}"


if __name__ == "__main__":
    if sys.argv[1:2] == ["--fill"]:
        django.setup()
        book(int(sys.argv[2]))
    else:
        main(*map(int, sys.argv[1:]))
