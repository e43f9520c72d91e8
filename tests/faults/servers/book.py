"""What the kill tests do inside a database, each as a process of its own: make a book, begin a round, do one alone.

Run as python -m tests.faults.servers.book fill HOMES MOMENT | begin MOMENT | alone MOMENT | open
"""

import sys
from datetime import datetime, timedelta

import django


def fill(homes: int, moment: datetime) -> None:
    """A book whose last round was the night before `moment`, and in which no round falls due by itself."""
    from django.core.management import call_command

    from fleet.planning.clock import slot_of
    from tests import make
    from tests.bench.round_book import build

    call_command("migrate", verbosity=0)
    for hours in range(-2, 24):
        slot = slot_of(moment) + timedelta(hours=hours)
        make.round_(started_at=moment - timedelta(days=30, hours=-hours), slot=slot, may_erase=True)
    build(homes, moment)


def begin(moment: datetime) -> None:
    """Write the round down and hand it out, as the schedule does."""
    from fleet.tasks import hand_out
    from fleet.verbs import round as rounds

    report = rounds.begin(moment, "test")
    hand_out(report.pk, report.chunks.values_list("number", flat=True))


def alone(moment: datetime) -> None:
    """The whole round in this one process, disturbed by nobody."""
    from fleet.queries.clock import book_time
    from fleet.verbs import round as rounds
    from fleet.verbs.chunk import Holder

    report = rounds.begin(moment, "test")
    for number in list(report.chunks.values_list("number", flat=True)):
        rounds.run_chunk(report.pk, number, Holder("alone"), book_time().clock)


def open_some() -> None:
    """Open every sealed copy of one home in ten; SealError or PackError where one does not open to what it was."""
    from hashlib import sha256

    from fleet.models import SealedBody
    from fleet.queries.sealed import open_body

    for body in SealedBody.objects.select_related("snapshot__mesh", "data_key"):
        if body.snapshot.mesh_id % 10 == 0:
            assert sha256(open_body(body)).hexdigest() == body.snapshot.sha256, body


def main(act: str, *given: str) -> None:
    """Do what the first word says."""
    django.setup()
    if act == "fill":
        fill(int(given[0]), datetime.fromisoformat(given[1]))
    elif act == "begin":
        begin(datetime.fromisoformat(given[0]))
    elif act == "open":
        open_some()
    else:
        alone(datetime.fromisoformat(given[0]))


if __name__ == "__main__":
    main(*sys.argv[1:])
