import gzip
import json

import pytest
from django.test import Client

from fleet.models import Snapshot, TrayItem
from fleet.verbs import push_tokens
from tests import make
from tests.documents import document

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh():
    return make.mesh()


@pytest.fixture
def token(mesh):
    _, text = push_tokens.make(mesh, "controller", "Orla", make.NOW)
    return text


def push(mesh, token, body, **headers):
    sent = {"HTTP_" + name.upper(): value for name, value in headers.items()}
    return Client().post(
        f"/api/v1/meshes/{mesh.code}/snapshots/",
        body,
        content_type="application/json",
        HTTP_AUTHORIZATION=f"Bearer {token}",
        **sent,
    )


def test_a_good_document_is_created_with_its_place(mesh, token):
    answer = push(mesh, token, document(mesh))

    assert answer.status_code == 201
    assert answer.headers["Location"] == f"/snapshots/{Snapshot.objects.get().uid}/"
    assert answer.json()["repeated"] is False


def test_a_repeated_document_is_said_to_be_so(mesh, token):
    push(mesh, token, document(mesh))

    answer = push(mesh, token, document(mesh))

    assert (answer.status_code, answer.json()["repeated"]) == (200, True)
    assert Snapshot.objects.count() == 1


def test_an_unreadable_document_is_a_problem_that_names_the_field_and_is_kept(mesh, token):
    wrong = json.loads(document(mesh))
    wrong["air"]["channel"] = "fifteen"

    answer = push(mesh, token, json.dumps(wrong))

    assert answer.status_code == 422
    assert answer.headers["Content-Type"] == "application/problem+json"
    body = answer.json()
    assert body["errors"][0]["path"] == "$.air.channel"
    assert body["tray"] == str(TrayItem.objects.get().uid)


def test_a_document_of_another_mesh_is_a_conflict_and_is_kept(mesh, token):
    answer = push(mesh, token, document(make.mesh()))

    assert answer.status_code == 409
    assert TrayItem.objects.get().mesh == mesh


def test_an_unknown_layout_is_accepted_and_waits(mesh, token):
    assert push(mesh, token, b'{"things": []}').status_code == 202


def test_a_token_pushes_for_its_own_mesh_only(token):
    other = make.mesh()

    answer = push(other, token, document(other))

    assert answer.status_code == 404
    assert Snapshot.objects.count() == TrayItem.objects.count() == 0


@pytest.mark.parametrize("sent", ["", "Bearer ", "Bearer wrong", "Basic b3JsYTp4"])
def test_without_a_token_nothing_is_taken(mesh, sent):
    answer = Client().post(
        f"/api/v1/meshes/{mesh.code}/snapshots/",
        document(mesh),
        content_type="application/json",
        HTTP_AUTHORIZATION=sent,
    )

    assert answer.status_code == 401
    assert answer.headers["WWW-Authenticate"].startswith("Bearer")
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_an_ended_token_pushes_no_more(mesh, token):
    push_tokens.revoke(mesh.push_tokens.get(), "Orla", make.NOW)

    assert push(mesh, token, document(mesh)).status_code == 401


def test_a_signed_in_person_is_no_push_token(as_owner, mesh):
    answer = as_owner.post(
        f"/api/v1/meshes/{mesh.code}/snapshots/", document(mesh), content_type="application/json"
    )

    assert answer.status_code == 401


def test_the_token_itself_is_stored_nowhere(mesh, token):
    row = mesh.push_tokens.get()

    assert token.encode() not in bytes(row.digest)
    assert token not in str(vars(row))


def test_a_gzip_body_is_opened(mesh, token):
    answer = push(mesh, token, gzip.compress(document(mesh)), content_encoding="gzip")

    assert answer.status_code == 201


def test_a_small_body_that_opens_to_a_huge_one_is_refused(mesh, token, settings):
    settings.INTAKE_LIMIT = 100_000

    answer = push(mesh, token, gzip.compress(bytes(50_000_000)), content_encoding="gzip")

    assert answer.status_code == 413
    assert "100000" in answer.json()["detail"]


@pytest.mark.parametrize(
    "body", [b"", b"\x1f\x8b\x08", gzip.compress(b"{}")[:-4]], ids=["empty", "torn", "short"]
)
def test_a_broken_gzip_body_is_refused(mesh, token, body):
    assert push(mesh, token, body, content_encoding="gzip").status_code == 400


def test_a_body_over_the_limit_is_refused(mesh, token, settings):
    settings.INTAKE_LIMIT = 1000

    assert push(mesh, token, document(mesh)).status_code == 413


def test_another_encoding_is_refused(mesh, token):
    assert push(mesh, token, document(mesh), content_encoding="br").status_code == 415


def test_reading_is_not_offered(mesh, token):
    answer = Client().get(f"/api/v1/meshes/{mesh.code}/snapshots/", HTTP_AUTHORIZATION=f"Bearer {token}")

    assert answer.status_code == 405
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_the_last_use_of_a_token_is_remembered(mesh, token):
    push(mesh, token, document(mesh))

    assert mesh.push_tokens.get().last_used_at is not None


def test_a_machine_gone_wild_is_told_when_to_come_back(mesh, token, settings):
    settings.PUSHES_A_MINUTE = 2
    body = document(mesh)
    answers = [push(mesh, token, body) for _ in range(5)]

    assert [answer.status_code for answer in answers][-1] == 429
    assert 0 < int(answers[-1].headers["Retry-After"]) <= 60
    assert answers[-1].headers["Content-Type"] == "application/problem+json"


def test_fifty_pushes_of_one_document_are_one_record_and_fifty_arrivals(mesh, token):
    for _ in range(50):
        push(mesh, token, document(mesh))

    assert Snapshot.objects.get().arrivals.count() == 50
