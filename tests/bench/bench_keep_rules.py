"""A million rows through the keep rules, days in the homes' own zones, beside reading them sorted and doing nothing.

Run from the project's folder: python -m tests.bench.bench_keep_rules [ROWS]
Both sides read the same rows with the same statement, from SQLite, in turn in one run; the best of several times of
the processor is taken of each. Memory is what Python takes at its peak while it goes through all rows. The last part is
the product itself: what a change of rule would do to a book of 6,000 homes.
"""

import os
import sqlite3
import sys
import tempfile
import tracemalloc
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from datetime import UTC, datetime, timedelta
from functools import partial
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from random import Random
from time import process_time
from zoneinfo import ZoneInfo

import django

from fleet.planning.keeping import KeepRule, Row, keep

ROWS, FEW, TURNS, HOLD_RATIO, HOLD_GROWTH = 1_000_000, 100_000, 3, 3.0, 64 * 1024
HOMES, COPIES = 6_000, 37
NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)
ZONES = [
    ZoneInfo(name) for name in ("Europe/Oslo", "America/St_Johns", "Asia/Kathmandu", "Pacific/Chatham", "UTC")
]
RULE = KeepRule()
# A home as years of rounds have left it (nearly every copy is held), and homes that no round has thinned yet.
THINNED = sorted([*range(14), *range(20, 62, 7), *range(70, 370, 30), *range(400, 1700, 365), 15, 33, 47])
HISTORIES = {"37 thinned": THINNED, "370 dailies": range(370), "3,700 dailies": range(3700)}
READ = "SELECT mesh, id, taken_at, sound, seen, proven, epoch FROM copy ORDER BY mesh, taken_at DESC, id DESC"
NARROW = "SELECT mesh, id, taken_at, sound FROM copy ORDER BY mesh, taken_at DESC, id DESC"


def filled(path: Path, ages: Sequence[int], rows: int) -> sqlite3.Connection:
    """So many copies, mesh by mesh, each taken at another minute of its day, with an index in the order of reading."""
    dice = Random(1)
    database = sqlite3.connect(path)
    database.execute("DROP TABLE IF EXISTS copy")
    database.execute(
        "CREATE TABLE copy (id INTEGER PRIMARY KEY, mesh INTEGER, taken_at TEXT, sound INTEGER, seen INTEGER, "
        "proven INTEGER, epoch TEXT)"
    )
    start = NOW.replace(tzinfo=None)
    database.executemany(
        "INSERT INTO copy (mesh, taken_at, sound, seen, proven, epoch) VALUES (?, ?, ?, ?, 0, '0 (7CD78E66)')",
        (
            (
                mesh,
                str(start - timedelta(days=age, minutes=dice.randrange(1000))),
                dice.random() < 0.97,
                age % 3 == 0,
            )
            for mesh in range(rows // len(ages))
            for age in ages
        ),
    )
    database.execute(
        "CREATE INDEX in_order ON copy (mesh, taken_at DESC, id DESC, sound, seen, proven, epoch)"
    )
    database.commit()
    return database


def read(database: sqlite3.Connection, statement: str = READ) -> None:
    """The floor."""
    for _ in database.execute(statement):
        pass


def kept(database: sqlite3.Connection) -> int:
    """How many copies the rules keep, each with its reasons."""
    by_mesh = groupby(database.execute(READ), itemgetter(0))
    return sum(len(keep(copies(rows), RULE, ZONES[mesh % len(ZONES)])) for mesh, rows in by_mesh)


def copies(rows: Iterator[tuple]) -> Iterator[Row[int]]:
    for _, key, taken_at, sound, seen, proven, epoch in rows:
        yield key, datetime.fromisoformat(f"{taken_at}+00:00"), sound, seen, proven, epoch, ()


def best_of(parts: dict[str, Callable[[], object]]) -> dict[str, float]:
    """Seconds of processor time of each part, all in turn within every round."""
    best = dict.fromkeys(parts, float("inf"))
    for _ in range(TURNS):
        for name, part in parts.items():
            began = process_time()
            part()
            best[name] = min(best[name], process_time() - began)
    return best


def peak(part: Callable[[], object]) -> int:
    """Octets that Python held at the most."""
    tracemalloc.start()
    part()
    held = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return held


def rules(rows: int) -> bool:
    """Through the rules alone, for few rows and for all; whether time and memory are held."""
    with tempfile.TemporaryDirectory() as folder:
        counts = (min(FEW, rows), rows)
        held = [measured(Path(folder), name, ages, counts) for name, ages in HISTORIES.items()]
    return all(held)


def measured(folder: Path, name: str, ages: Sequence[int], counts: Sequence[int]) -> bool:
    """One kind of history; prints a line for each count of rows."""
    ratios, memory = [], []
    for count in counts:
        with closing(filled(folder / "copies", ages, count)) as database:
            read_all, read_narrow = partial(read, database), partial(read, database, NARROW)
            took = best_of({"read": read_all, "narrow": read_narrow, "kept": partial(kept, database)})
            memory.append(peak(partial(kept, database)))
        ratios.append(took["kept"] / took["read"])
        print(
            f"{count:9,} rows, {name:13} read {took['read']:5.2f} s, kept {took['kept']:5.2f} s: "
            f"{ratios[-1]:4.2f}x (hold {HOLD_RATIO}), {took['kept'] / took['narrow']:4.2f}x reading four columns of "
            f"them; peak {memory[-1] / 1024:.0f} kB",
            flush=True,
        )
    return max(ratios) <= HOLD_RATIO and memory[-1] <= memory[0] + HOLD_GROWTH


def effect() -> None:
    """What the page waits for: the effect of 12 months made 1, over a book of the usual size, nearly all of it read."""
    from django.core.management import call_command
    from django.db import connection

    from fleet.models import KeepRule as KeepRuleRow
    from fleet.verbs.keep_rules import RuleEdited, effect_of

    call_command("migrate", verbosity=0)
    homes()
    row = KeepRuleRow.objects.get(is_default=True)
    row.months = 1

    def floor() -> None:
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT id, mesh_id, taken_at, grade, key_mark, key_sequence, doomed_at FROM fleet_snapshot "
                "WHERE custody <> 'gone' ORDER BY mesh_id, taken_at DESC, id DESC"
            )
            while cursor.fetchmany(2000):
                pass

    took = best_of({"floor": floor, "effect": lambda: effect_of(RuleEdited(row), NOW)})
    found, held = effect_of(RuleEdited(row), NOW), peak(lambda: effect_of(RuleEdited(row), NOW))
    print(
        f"{found.copies:9,} copies of {found.meshes:,} homes, 12 months made 1: {found.total.marked:,} marked in "
        f"{len(found.homes):,} homes, foretold in {took['effect']:.2f} s, {took['effect'] / took['floor']:.2f}x "
        f"reading them with nothing done {took['floor']:.2f} s; peak {held / 1024 / 1024:.1f} MB"
    )


def homes() -> None:
    """Homes with thinned histories, the copies made by the database itself."""
    from django.db import connection

    from fleet.models import Mesh
    from tests import make

    make.keep_rule(name="Usual", is_default=True)
    first = make.snapshot(make.mesh())
    owner = first.mesh.site.client
    for number in range(HOMES - 1):
        home = make.site(client=owner, code=f"BENCH-{number}", time_zone=ZONES[number % len(ZONES)].key)
        Mesh.objects.create(site=home, code=f"{home.code}-A", key_mark="7CD78E66", key_sequence=0)
    names = [field.column for field in type(first)._meta.concrete_fields if field.column != "id"]
    own = {
        "mesh_id": "m.id",
        "taken_at": "datetime('2027-03-26 08:00', '-' || a.age || ' days', '-' || (m.id * 37 % 1000) || ' minutes')",
        "uid": "lower(hex(randomblob(16)))",
        "meaning_mark": "randomblob(16)",
    }
    values = ", ".join(own.get(name, f"s.{name}") for name in names)
    with connection.cursor() as cursor:
        cursor.execute("CREATE TEMPORARY TABLE age (age INTEGER)")
        cursor.executemany("INSERT INTO age VALUES (%s)", [(age,) for age in THINNED])
        cursor.execute(
            f"INSERT INTO fleet_snapshot ({', '.join(names)}) SELECT {values} FROM fleet_mesh m, age a, "
            "fleet_snapshot s WHERE s.id = %s",
            [first.pk],
        )
    first.delete()


def main() -> None:
    held = rules(int(sys.argv[1]) if len(sys.argv) > 1 else ROWS)
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"SPAREBOOK_HOME": folder, "DJANGO_SETTINGS_MODULE": "fleet.config.settings"}
        os.environ.pop("SPAREBOOK_DATABASE", None)
        django.setup()
        effect()
    if not held:
        raise SystemExit("not held")


if __name__ == "__main__":
    main()
