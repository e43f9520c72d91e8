"""A year of dailies of one quiet mesh through the book's own intake and packing, beside git and zstd.

Run from the project's folder: python -m tests.bench.bench_store
Makes a book of its own on SQLite in a folder that is taken away again. Every copy is read back and held against the
octets that came.
"""

import os
import tempfile
from datetime import datetime, timedelta
from statistics import mean

import django
import zstandard

from tests.bench.bench_pipeline import NODES_OF_22_KB, git_octets
from tests.fleet.snapshots import making

DAYS = 365
HOLD_OCTETS = 380
# Mains-powered devices and busy sensors: the quarter that speaks between two nights.
SHARE_HEARD = 0.25


def year() -> list[tuple[datetime, bytes]]:
    """When each document was taken, and its octets."""
    document = making.document(seed=1, nodes=NODES_OF_22_KB)
    days = []
    for day in range(DAYS):
        days.append((datetime.fromisoformat(document["taken"]), making.octets(document)))
        document = making.next_day(document, day, SHARE_HEARD)
    return days


def stored(days: list[tuple[datetime, bytes]]) -> None:
    """Take every document in at its time, pack each night as the round does, read all of it back."""
    from django.core.management import call_command

    from fleet.models import BaseCopy, How, SealedBody
    from fleet.queries.sealed import open_body
    from fleet.verbs.intake import Origin, receive
    from fleet.verbs.repack import repack
    from tests import make

    call_command("migrate", verbosity=0)
    mesh = make.mesh(extended_pan_id=None, head_address=None, key_mark="", key_sequence=None)
    for taken_at, body in days:
        now = taken_at + timedelta(minutes=5)
        receive(mesh, body, Origin(How.PUSH, "controller"), now)
        repack(mesh, now)

    rows = list(
        SealedBody.objects.order_by("snapshot__taken_at").select_related("snapshot__mesh", "data_key")
    )
    exact = sum(open_body(row) == body for row, (_, body) in zip(rows, days, strict=True))
    sizes = [len(row.sealed) for row in rows]
    older, newest = sizes[:-1], sizes[-1]
    bases = [len(copy.sealed) for copy in BaseCopy.objects.all()]
    bodies = [body for _, body in days]
    git, best = git_octets(bodies), zstandard.ZstdCompressor(level=19)
    alone = mean(len(best.compress(body)) for body in bodies)
    average, all_in = mean(older), (sum(older) + sum(bases)) / len(older)
    print(
        f"{len(days)} dailies of {len(bodies[0])} octets, {NODES_OF_22_KB} nodes, {SHARE_HEARD:.0%} heard a day"
    )
    print(f"  byte for byte as they came: {exact} of {len(days)}")
    print(
        f"  a sealed daily            {average:6.0f} octets, largest {max(older)} (hold {HOLD_OCTETS} on average)"
    )
    print(f"  with its share of bases   {all_in:6.0f}: {len(bases)} base copies of {mean(bases):.0f}")
    print(f"  the newest, whole         {newest:6.0f}")
    print(
        f"  git, packed hard          {git:6.0f}: ratio {average / git:.2f}, bases counted {all_in / git:.2f}"
    )
    print(
        f"  zstd -19 a file           {alone:6.0f}: ratio {average / alone:.2f}, bases counted {all_in / alone:.2f}"
    )
    if exact < len(days) or average > HOLD_OCTETS:
        raise SystemExit("not held")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as home:
        os.environ |= {"SPAREBOOK_HOME": home, "DJANGO_SETTINGS_MODULE": "fleet.config.settings"}
        os.environ.pop("SPAREBOOK_DATABASE", None)
        django.setup()
        stored(year())
