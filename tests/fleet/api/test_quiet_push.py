"""What a push costs on a quiet day: counted in statements, which no machine and no neighbour changes."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from fleet.models import Arrival, CounterEvidence, JournalEntry, SealedBody, Snapshot
from fleet.queries.sealed import open_body
from fleet.verbs import push_tokens
from tests import make
from tests.documents import document, nodes

pytestmark = pytest.mark.django_db

HOUR = timedelta(hours=1)
# Token, begin, lock, what the book knows, what the push changes, commit; SQLite locks at begin and writes six rows.
STATEMENTS = {"postgresql": 6, "sqlite": 10}


@pytest.fixture
def mesh():
    return make.mesh()


@pytest.fixture
def token(mesh):
    _, text = push_tokens.make(mesh, "controller", "Orla", make.NOW)
    return text


def push(mesh, token, hours_ago: int, count: int = 12, **given) -> bytes:
    taken_at = timezone.now() - hours_ago * HOUR
    given = {"nodes": nodes(count, taken_at), "outgoing_counter": 2_000_000 - 1000 * hours_ago, **given}
    body = document(mesh, taken_at, **given)
    answer = Client().post(
        f"/api/v1/meshes/{mesh.code}/snapshots/",
        body,
        content_type="application/json",
        HTTP_AUTHORIZATION=f"Bearer {token}",
    )
    assert answer.status_code == 201
    return body


def statements(mesh, token, hours_ago: int, **given) -> int:
    with CaptureQueriesContext(connection) as seen:
        push(mesh, token, hours_ago, **given)
    return len(seen)


def test_a_quiet_push_takes_a_fixed_number_of_statements(mesh, token):
    push(mesh, token, 9)

    assert statements(mesh, token, 8) == STATEMENTS[connection.vendor]


def test_neither_history_nor_nodes_make_it_more(mesh, token):
    for hours_ago in range(9, 3, -1):
        push(mesh, token, hours_ago, count=200)

    assert statements(mesh, token, 3, count=200) == STATEMENTS[connection.vendor]


def test_every_row_of_a_push_belongs_to_its_snapshot(mesh, token):
    push(mesh, token, 9)
    body = push(mesh, token, 8)

    copy = Snapshot.objects.latest("taken_at")
    assert Arrival.objects.latest("pk").snapshot == copy
    assert CounterEvidence.objects.latest("pk").snapshot == copy
    assert JournalEntry.objects.latest("pk").details["snapshot"] == str(copy.uid)
    assert open_body(SealedBody.objects.get(snapshot=copy)) == body


def test_the_mesh_shows_the_newest_copy(mesh, token):
    push(mesh, token, 9)
    push(mesh, token, 8, channel=25, pan_id=0x2222)

    mesh.refresh_from_db()
    assert (mesh.channel, mesh.pan_id) == (25, 0x2222)
    assert mesh.nodes.first().last_heard is not None


def test_a_row_as_the_push_writes_it_passes_the_models_own_checks(mesh, token):
    push(mesh, token, 9)

    for model in (Snapshot, Arrival, CounterEvidence, JournalEntry, SealedBody):
        model.objects.latest("pk").full_clean()
