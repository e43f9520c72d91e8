"""The count of pushes a minute, and the queue that keeps it."""

import socket

import pytest
from django.test import Client

from fleet.verbs import push_tokens
from tests import make
from tests.documents import document

pytestmark = pytest.mark.django_db


@pytest.fixture
def nobody_listens_there() -> str:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return f"redis://127.0.0.1:{one.getsockname()[1]}/0"


def test_a_queue_that_is_down_refuses_no_copy(settings, nobody_listens_there):
    settings.CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.redis.RedisCache",
            "LOCATION": nobody_listens_there,
        }
    }
    mesh = make.mesh()
    _, token = push_tokens.make(mesh, "controller", "Orla", make.NOW)

    answer = Client().post(
        f"/api/v1/meshes/{mesh.code}/snapshots/",
        document(mesh),
        content_type="application/json",
        HTTP_AUTHORIZATION=f"Bearer {token}",
    )

    assert answer.status_code == 201
