"""A machine that goes on pushing for a client who was erased."""

import gzip

import pytest
from django.test import Client

from fleet.models import Arrival, Snapshot, TrayItem
from fleet.verbs import push_tokens
from fleet.verbs.erase import erase_client
from tests import make
from tests.documents import document

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh():
    return make.mesh()


@pytest.fixture
def token(mesh):
    return push_tokens.make(mesh, "controller", "Orla", make.NOW)[1]


@pytest.fixture
def erased(mesh, token):
    erase_client(mesh.site.client, "the agreement ended", "Orla", "Noor", make.NOW)
    return mesh


def push(mesh, token, body, **headers):
    return Client().post(
        f"/api/v1/meshes/{mesh.code}/snapshots/",
        body,
        content_type="application/json",
        HTTP_AUTHORIZATION=f"Bearer {token}",
        **headers,
    )


@pytest.mark.parametrize(
    "body",
    [lambda mesh: document(mesh), lambda mesh: b"nothing", lambda mesh: gzip.compress(b"{}")],
    ids=["good", "bad", "packed"],
)
def test_it_is_told_that_the_client_is_gone_for_good(erased, token, body):
    answer = push(erased, token, body(erased))

    assert answer.status_code == 410
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert answer.json()["title"] == "Gone"
    assert "erased on 2027-03-26" in answer.json()["detail"]
    assert [model.objects.count() for model in (Snapshot, TrayItem, Arrival)] == [0, 0, 0]


def test_a_push_that_was_let_in_just_before_is_told_so_too(erased, token):
    """The token was still good when it was looked at, and the erasure ended while the push waited for the mesh."""
    erased.push_tokens.update(revoked_at=None)

    assert push(erased, token, document(erased)).status_code == 410
    assert push(erased, token, b"nothing").status_code == 410
    assert [model.objects.count() for model in (Snapshot, TrayItem, Arrival)] == [0, 0, 0]


def test_a_token_that_nobody_ever_made_learns_nothing(erased):
    assert push(erased, "x" * 43, b"{}").status_code == 401


def test_a_token_that_was_ended_in_a_living_home_learns_nothing(mesh, token):
    push_tokens.revoke(mesh.push_tokens.get(), "Orla", make.NOW)

    assert push(mesh, token, b"{}").status_code == 401
