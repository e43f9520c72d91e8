"""Copies taken in as a push brings them, some days before NOW."""

from datetime import timedelta

from fleet.models import How, Mesh, Snapshot
from fleet.verbs.intake import Origin, receive
from tests import make
from tests.documents import document


def take(mesh: Mesh, days_ago: int, **given: object) -> Snapshot:
    """A good copy of so many days ago, its counter 200,000 above the day before; name what should differ."""
    taken_at = make.NOW - timedelta(days=days_ago)
    counter = {"outgoing_counter": 90_000_000 - days_ago * 200_000}
    body = document(mesh, taken_at, **{**counter, **given})
    receipt = receive(mesh, body, Origin(How.PUSH, "controller"), taken_at)
    return mesh.snapshots.get(pk=receipt.snapshot.pk)
