"""The board over a book of many homes, beside the bare statement for the same fifty rows, on PostgreSQL.

Run from the project's folder: python -m tests.bench.bench_board [HOMES]
Needs PostgreSQL on 127.0.0.1:5432 (user postgres, trusted). Both sides run in turn in one process on one connection;
the median of several turns is taken of each. The page is asked as a browser asks it, signed in, through all middleware.
Beside them stands the signed-in page that says only that there is no such page: what the framework alone takes.
"""

import os
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from statistics import median

import django

from tests.bench.push_servers import own_database

HOMES, TURNS, ROWS = 10_000, 25, 50
HOLD_STATEMENTS, HOLD_RATIO = 12, 5.0
EMPTY = "/no-such-page/"


def measure(homes: int) -> None:
    """Fill the database that Django was set up with, then ask the board and its rows in turn."""
    from django.core.management import call_command
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    from fleet.models import Mesh
    from fleet.planning.readiness import State
    from tests import make
    from tests.bench.round_book import build

    call_command("migrate", verbosity=0)
    build(homes, datetime.now(UTC))
    for rank, state in enumerate(State):  # as rounds leave it: every state, with words
        Mesh.objects.filter(pk__iregex=rf"[{rank * 2}{rank * 2 + 1}]$").update(
            readiness=state.value,
            readiness_rank=state.severity,
            readiness_reason="The newest sound snapshot is 71 days old; the limit is 3.1 days.",
            readiness_act="Take a snapshot and send it in.",
            assessed_at=datetime.now(UTC),
        )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    page = Client(headers={"host": "localhost"})  # no test environment: it would slow each template down
    page.force_login(make.person(role="owner"))
    page.get("/")
    with CaptureQueriesContext(connection) as asked:
        page.get("/")
    statements = [each["sql"] for each in asked]
    rows = next(each for each in statements if f"LIMIT {ROWS}" in each and "fleet_mesh" in each)
    whole, empty, bare = [], [], []
    for _ in range(TURNS):
        whole.append(_seconds(lambda: page.get("/")))
        empty.append(_seconds(lambda: page.get(EMPTY)))
        bare.append(_seconds(lambda: _fetch(connection, rows)))
    ratio = median(whole) / median(bare)
    print(f"{homes:,} homes: {len(statements)} statements (hold {HOLD_STATEMENTS})")
    print(f"  the page {median(whole) * 1000:.1f} ms, its {ROWS} rows alone {median(bare) * 1000:.1f} ms")
    print(f"  a page that only says there is none {median(empty) * 1000:.1f} ms")
    print(f"  ratio {ratio:.2f} (hold {HOLD_RATIO:g})")
    if len(statements) > HOLD_STATEMENTS or ratio > HOLD_RATIO:
        raise SystemExit("not held")


def _fetch(connection, statement: str) -> None:  # type: ignore[no-untyped-def]
    with connection.cursor() as cursor:
        cursor.execute(statement)
        cursor.fetchall()


def _seconds(act) -> float:  # type: ignore[no-untyped-def]
    began = time.perf_counter()
    act()
    return time.perf_counter() - began


def main(homes: int = HOMES) -> None:
    """In a database and a data folder of its own."""
    with own_database() as database, tempfile.TemporaryDirectory() as home:
        settings = {"SPAREBOOK_HOME": home, "DJANGO_SETTINGS_MODULE": "fleet.config.settings"}
        env = {**os.environ, **settings, "SPAREBOOK_DATABASE": database}
        run = [sys.executable, "-m", "tests.bench.bench_board", "--measure", str(homes)]
        raise SystemExit(subprocess.run(run, env=env, check=False).returncode)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--measure"]:
        django.setup()
        measure(int(sys.argv[2]))
    else:
        main(*map(int, sys.argv[1:]))
