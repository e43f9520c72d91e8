"""A book of 6,000 homes supposed to be otherwise: seconds, statements, memory.

Run from the project's folder: python -m tests.bench.bench_what_if [HOMES]
Makes a book of its own in a temporary folder (or in the empty database that SPAREBOOK_DATABASE names). Seconds are of
the processor. Memory is what Python takes at its peak for ten chunks, as the job lets go of each.
"""

import os
import sys
import tempfile
import time
import tracemalloc
from datetime import UTC, datetime
from itertools import islice

import django

from fleet.planning.capabilities import FirmwareState
from fleet.planning.supposing import AddedSpare, SupposedPolicy, Supposition

HOMES, CHUNKS, HOLD_A_SECOND, HOLD_MEGABYTES = 6_000, 10, 40, 64


def main(homes: int = HOMES) -> None:
    """Fill, then suppose four things; SystemExit where it is too slow or takes too much."""
    from django.core.management import call_command

    from tests.bench.round_book import build

    call_command("migrate", verbosity=0)
    now = datetime.now(UTC)
    build(homes, now)
    print(f"a book of {homes:,} homes is there", flush=True)
    asked = {
        "nothing": Supposition(),
        "a drill every 182 days": Supposition(drill_days=182),
        "20 more spares": Supposition(added=(AddedSpare("A2", "7.4.1", 20, "VAN-0"),)),
        "firmware barred": Supposition(policies=(SupposedPolicy("A2", "7.4.1", FirmwareState.BARRED),)),
    }
    slow = [name for name, change in asked.items() if not held(name, change, now)]
    if slow:
        raise SystemExit(f"not held: {', '.join(slow)}")


def held(name: str, change: Supposition, now: datetime) -> bool:
    """Suppose one thing of the whole book, and print what it took."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from fleet.queries.supposed_rows import found_in_book
    from fleet.queries.supposing import Supposing, in_chunks

    began, homes, changed, errors = time.process_time(), 0, 0, 0
    shared = Supposing.load(found_in_book(change), now)
    for _, meshes in in_chunks():
        found = shared.weigh(meshes)
        homes += len(meshes)
        changed, errors = changed + len(found.changed), errors + len(found.troubles)
    rate = homes / (took := time.process_time() - began)
    with CaptureQueriesContext(connection) as statements:
        tracemalloc.start()
        for _, meshes in islice(in_chunks(), CHUNKS):
            shared.weigh(meshes)
        peak = tracemalloc.get_traced_memory()[1] / 1024 / 1024
        tracemalloc.stop()
    print(
        f"{name}: {took:.1f} s, {rate:.0f} meshes a second (hold {HOLD_A_SECOND}), {changed:,} change state, "
        f"{errors} errors; {len(statements)} statements for {CHUNKS} chunks, "
        f"peak {peak:.1f} MB (hold {HOLD_MEGABYTES})",
        flush=True,
    )
    return rate >= HOLD_A_SECOND and peak <= HOLD_MEGABYTES and not errors


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.config.settings")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["SPAREBOOK_HOME"] = folder
        django.setup()
        main(*map(int, sys.argv[1:]))
