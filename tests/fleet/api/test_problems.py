"""What Django answers by itself: a problem document (RFC 9457) for machines, a page for people."""

import pytest
from django.test import Client, RequestFactory

from fleet.api import problems

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "path", ["/api/", "/api/v1/", "/api/v1/nothing/", "/api/v1/meshes/", "/api/v2/meshes/K/"]
)
def test_an_address_for_machines_that_leads_nowhere_is_a_problem(path):
    answer = Client().get(path)

    assert answer.status_code == 404
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert answer.json()["status"] == 404


def test_an_address_for_people_that_leads_nowhere_is_a_page(as_owner):
    answer = as_owner.get("/nothing/")

    assert answer.status_code == 404
    assert "There is nothing here" in answer.content.decode()


def test_a_request_for_another_host_is_a_problem():
    answer = Client(SERVER_NAME="somewhere.example").post("/api/v1/meshes/KELP-7-A/snapshots/")

    assert answer.status_code == 400
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_an_error_of_our_own_is_a_problem_that_says_nothing_of_the_inside():
    answer = problems.server_error(RequestFactory().post("/api/v1/meshes/KELP-7-A/snapshots/"))

    assert answer.status_code == 500
    assert b"nothing was kept" in answer.content
