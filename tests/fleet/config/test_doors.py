"""What every answer carries, and the pages for when something is wrong."""

import pytest
from django.test import Client
from django.urls import reverse

from tests import make

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("name", ["board", "clients", "tray", "rounds", "journal", "client-new"])
def test_no_page_allows_a_script_or_style_that_is_not_our_own_file(as_owner, name):
    policy = as_owner.get(reverse(name)).headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe-inline" not in policy


def test_a_page_that_is_not_there_says_so_in_words(as_owner):
    answer = as_owner.get("/no/such/page/")
    assert answer.status_code == 404
    assert "There is nothing here, or it is not open to you." in answer.content.decode()


def test_what_may_only_be_read_says_so_in_words(as_stranger):
    answer = as_stranger.get(reverse("client-new"))
    assert "You may read this, but not change it." in answer.content.decode()


def test_a_form_from_another_place_is_refused_in_words(owner):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(owner)
    answer = strict.post(reverse("client-new"), {"name": "X", "language": "en"})
    assert answer.status_code == 403
    assert "nothing was written" in answer.content.decode()
    assert not make.Client.objects.exists()


def test_a_failure_is_answered_in_words_and_without_its_inside(owner, monkeypatch):
    def fail(*_: object) -> None:
        raise RuntimeError("inside")

    monkeypatch.setattr("fleet.pages.board.board_for", fail)
    forgiving = Client(raise_request_exception=False)
    forgiving.force_login(owner)
    answer = forgiving.get(reverse("board"))
    assert answer.status_code == 500
    assert "The book could not answer." in answer.content.decode()
    assert "inside" not in answer.content.decode()


def test_signing_out_closes_the_book(as_owner):
    as_owner.post(reverse("sign-out"))
    assert as_owner.get(reverse("board")).status_code == 302


def test_signing_out_by_a_plain_link_does_nothing(as_owner):
    assert as_owner.get(reverse("sign-out")).status_code == 405


@pytest.mark.parametrize(
    ("name", "given", "above"),
    [
        ("round-start", [], "/rounds/"),
        ("token-make", ["KELP-7-A"], "/meshes/KELP-7-A/"),
        ("token-end", ["KELP-7-A", 1], "/meshes/KELP-7-A/tokens/"),
        ("sign-out", [], "/"),
    ],
)
def test_an_address_that_only_takes_forms_says_so_and_leads_back(as_owner, name, given, above):
    answer = as_owner.get(reverse(name, args=given))
    html = answer.content.decode()

    assert (answer.status_code, "POST" in answer.headers["Allow"]) == (405, True)
    assert "This address only takes what a form sends." in html
    assert f'<a class="act" href="{above}">' in html
    assert "Content-Security-Policy" in answer.headers


def test_machines_get_no_page_for_a_wrong_method(client):
    answer = client.get(reverse("push", args=["KELP-7-A"]))
    assert "html" not in answer.headers["Content-Type"]


def test_a_wrong_password_says_so_beside_the_form(client):
    make.person(username="orla")
    page = client.post(reverse("sign-in"), {"username": "orla", "password": "wrong"}).content.decode()
    assert 'role="alert"' in page
