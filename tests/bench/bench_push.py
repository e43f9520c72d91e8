"""The push path on real PostgreSQL beside its floor, two gunicorn workers on each side.

Run from the project's folder: python -m tests.bench.bench_push
Needs PostgreSQL on 127.0.0.1:5432 (user postgres, trusted). Makes its own database and data folder, and takes both
away again. The two sides are pushed at in turn, in one run, by the same processes with the same documents.
"""

import os
import tempfile
from datetime import UTC, datetime
from statistics import median

import django
import psycopg

from tests.bench.push_documents import Sender, first_facts
from tests.bench.push_load import Load, Pushed, pushing
from tests.bench.push_servers import gunicorn, own_database

HOLD_RATIO, HOLD_MS = 0.35, 25
MESHES, DOCUMENTS, PROCESSES = 320, 48, 8
ROUNDS, SECONDS = 3, 4
EACH = MESHES // PROCESSES
PATIENCE_SECONDS = 60


def fill(database: str, home: str) -> list[Sender]:
    """A new book with an agreement and a token for every mesh; no document yet."""
    os.environ |= {
        "SPAREBOOK_DATABASE": database,
        "SPAREBOOK_HOME": home,
        "SPAREBOOK_PUSHES_A_MINUTE": "0",
        "DJANGO_SETTINGS_MODULE": "fleet.config.settings",
    }
    django.setup()
    from django.core.management import call_command
    from django.db import connection

    from fleet.verbs import push_tokens
    from tests import make

    call_command("migrate", verbosity=0)
    make.keep_rule(name="usual", is_default=True)
    now, senders = datetime.now(UTC), []
    for seed in range(MESHES):
        facts = first_facts(seed)
        mesh = make.mesh(
            extended_pan_id=facts.extended_pan_id,
            head_address=facts.head_address,
            key_mark="",
            key_sequence=None,
        )
        make.agreement(mesh.site, starts_on=now.date())
        _, token = push_tokens.make(mesh, "controller", "bench", now)
        senders.append(Sender(mesh.code, token, seed))
    connection.close()
    return senders


def counted(database: str) -> dict[str, int]:
    """How many rows the book has of each kind that a push makes."""
    tables = ("snapshot", "arrival", "sealedbody", "counterevidence", "journalentry", "finding", "trayitem")
    with psycopg.connect(database) as line:
        return {
            name: line.execute(f"SELECT count(*) FROM fleet_{name}").fetchone()[0]  # type: ignore[index]
            for name in tables
        }


def show(name: str, rounds: list[Pushed]) -> float:
    """One line for a side, each figure the median of the rounds; its rate."""
    rate = median(each.rate for each in rounds)
    p50, p99 = (median(each.latency_ms(share) for each in rounds) for share in (0.5, 0.99))
    all_rates = " ".join(f"{each.rate:.0f}" for each in rounds)
    print(f"  {name:6} {rate:7.0f}/s   p50 {p50:5.1f} ms   p99 {p99:5.1f} ms   rounds: {all_rates}")
    return rate


def measure(load: Load, floor: int, ours: int) -> tuple[list[Pushed], list[Pushed]]:
    """The two sides in turn. Each round of ours takes documents that it has never seen."""
    # First documents make nodes and data keys, and worker processes load what they need: not counted.
    load.push("floor", floor, 2 * EACH, SECONDS)
    load.push("ours", ours, 2 * EACH, PATIENCE_SECONDS)
    below, above = [], []
    for _ in range(ROUNDS):
        below.append(load.push("floor", floor, EACH * DOCUMENTS, SECONDS))
        above.append(load.push("ours", ours, EACH * (DOCUMENTS - 2) // ROUNDS, SECONDS))
    return below, above


def main() -> None:
    """Everything up, both sides measured, everything down."""
    with own_database() as database, tempfile.TemporaryDirectory() as home:
        senders = fill(database, home)
        with (
            gunicorn("tests.bench.floor_wsgi", {"FLOOR_DATABASE": database}) as floor,
            gunicorn("fleet.config.wsgi", {}) as ours,
            pushing(senders, DOCUMENTS, datetime.now(UTC), PROCESSES) as load,
        ):
            below, above = measure(load, floor, ours)
        rows = counted(database)
    print(
        f"{MESHES} meshes, {PROCESSES} connections kept open, {ROUNDS} rounds of at most {SECONDS} s a side"
    )
    bare, whole = show("floor", below), show("ours", above)
    p99 = median(each.latency_ms(0.99) for each in above)
    print(f"  ratio {whole / bare:.2f} (hold {HOLD_RATIO}), p99 {p99:.1f} ms (hold {HOLD_MS})")
    print("  rows: " + ", ".join(f"{count} {name}" for name, count in rows.items()))
    pushed = sum(len(each.latencies) for each in above) + 2 * MESHES
    if not rows["snapshot"] == rows["arrival"] == rows["sealedbody"] == pushed:
        raise SystemExit(f"{pushed} pushes were answered with 201, but the book has other numbers of rows")
    if whole < HOLD_RATIO * bare or p99 > HOLD_MS:
        raise SystemExit("not held")


if __name__ == "__main__":
    main()
