"""The push path on real PostgreSQL beside its floor, two gunicorn workers on each side.

Run from the project's folder: python -m tests.bench.bench_push
Needs PostgreSQL on 127.0.0.1:5432 (user postgres, trusted). Makes its own database and data folder, and takes both
away again. The two sides are pushed at in turn, in short rounds, by the same processes with the same documents.
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
MESHES, DOCUMENTS, CONNECTIONS = 320, 48, 4
ROUNDS, SECONDS = 9, 1.5
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


def warm_up(load: Load, floor: int, ours: int, database: str) -> int:
    """How many first documents were pushed: they make nodes and data keys, and are not measured."""
    share = 2 * MESHES // CONNECTIONS
    load.push("floor", floor, share, SECONDS)
    first = load.push("ours", ours, share, PATIENCE_SECONDS)
    with psycopg.connect(database, autocommit=True) as line:
        line.execute("ANALYZE")  # as PostgreSQL does by itself within a minute
    return len(first.latencies)


def measure(load: Load, floor: int, ours: int) -> tuple[list[Pushed], list[Pushed]]:
    """Rounds of the floor and of ours in turn; ours takes documents that it has never seen."""
    most = MESHES * (DOCUMENTS - 2) // CONNECTIONS // ROUNDS
    pairs = [
        (load.push("floor", floor, 10 * most, SECONDS), load.push("ours", ours, most, SECONDS))
        for _ in range(ROUNDS)
    ]
    return [below for below, _ in pairs], [above for _, above in pairs]


def show(name: str, rounds: list[Pushed]) -> None:
    """One line for a side, each figure the median of the rounds."""
    rate = median(each.rate for each in rounds)
    p50, p99 = (median(each.latency_ms(share) for each in rounds) for share in (0.5, 0.99))
    slowest, fastest = min(each.rate for each in rounds), max(each.rate for each in rounds)
    print(
        f"  {name:5} {rate:5.0f}/s ({slowest:.0f} to {fastest:.0f})   p50 {p50:4.1f} ms   p99 {p99:4.1f} ms"
    )


def counted(database: str) -> dict[str, int]:
    """How many rows the book has of each kind that a push makes."""
    tables = ("snapshot", "arrival", "sealedbody", "counterevidence", "journalentry", "finding", "trayitem")
    with psycopg.connect(database) as line:
        return {
            name: line.execute(f"SELECT count(*) FROM fleet_{name}").fetchone()[0]  # type: ignore[index]
            for name in tables
        }


def main() -> None:
    """Everything up, both sides measured, everything down."""
    with own_database() as database, tempfile.TemporaryDirectory() as home:
        senders = fill(database, home)
        with (
            gunicorn("tests.bench.floor_wsgi", {"FLOOR_DATABASE": database}) as floor,
            gunicorn("fleet.config.wsgi", {}) as ours,
            pushing(senders, DOCUMENTS, datetime.now(UTC), CONNECTIONS) as load,
        ):
            first = warm_up(load, floor, ours, database)
            below, above = measure(load, floor, ours)
        rows = counted(database)
    print(f"{MESHES} meshes, {CONNECTIONS} connections kept open, {ROUNDS} rounds of {SECONDS} s a side")
    show("floor", below)
    show("ours", above)
    ratio = median(each.rate / beside.rate for each, beside in zip(above, below, strict=True))
    p99 = median(each.latency_ms(0.99) for each in above)
    print(f"  ratio {ratio:.2f} (hold {HOLD_RATIO}), p99 {p99:.1f} ms (hold {HOLD_MS})")
    print("  rows: " + ", ".join(f"{count} {name}" for name, count in rows.items()))
    pushed = first + sum(len(each.latencies) for each in above)
    if not rows["snapshot"] == rows["arrival"] == rows["sealedbody"] == rows["counterevidence"] == pushed:
        raise SystemExit(f"{pushed} pushes were answered with 201, but the book has other numbers of rows")
    if ratio < HOLD_RATIO or p99 > HOLD_MS:
        raise SystemExit("not held")


if __name__ == "__main__":
    main()
