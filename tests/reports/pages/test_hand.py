"""A link hands over one sheet: to read, and where it says so to sign; afterwards it says politely that it is over."""

import json
import logging
import re
import secrets

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fleet.models import JournalEntry
from reports.models import Signature
from reports.pages import strangers
from reports.verbs import links
from tests import make

pytestmark = pytest.mark.django_db

STROKES = json.dumps([[100, 100, 200, 300, 300, 100, 400, 200], [500, 100, 600, 300, 700, 100, 800, 200]])


@pytest.fixture
def sheet():
    make.firm(office_phone="+44 1632 960101")
    return make.sheet(make.site(code="KELP-7"), body=b"%PDF-1.7 on paper")


def link_to(sheet, may_sign=True):
    return links.make(sheet, "Ingunn", 14, may_sign, "Orla", timezone.now())


def post(client, page, token, **given):
    return client.post(reverse(page), {"token": token, **given})


def signing(**given):
    return {"name": "Ingunn Sæther", "role": "client", "read": "on", "strokes": "", **given}


def text(answer):
    return answer.content.decode()


def test_the_page_that_a_link_opens_asks_for_the_token_and_says_nothing_else(client, sheet):
    answer = client.get(reverse("hand"))

    assert answer.status_code == 200
    assert sheet.number not in text(answer)
    assert 'src="/static/reports/link.js"' in text(answer)


def test_the_token_shows_which_sheet_and_until_when(client, sheet):
    _, token = link_to(sheet)

    said = text(post(client, "hand", token))

    assert f"{sheet.number}</span> for Ingunn, open until" in said
    assert sheet.sha256[:8] in said
    assert "KELP-7" not in said


def test_then_the_sheet_is_taken_as_it_was_issued(client, sheet):
    _, token = link_to(sheet)

    answer = post(client, "hand-file", token)

    assert answer.content == b"%PDF-1.7 on paper"
    assert answer.headers["Content-Type"] == "application/pdf"
    assert "no-store" in answer.headers["Cache-Control"]


def test_it_works_without_cookies_and_from_a_page_that_tells_no_origin(sheet):
    _, token = link_to(sheet)
    strict = Client(enforce_csrf_checks=True)

    answer = strict.post(reverse("hand"), {"token": token}, headers={"Origin": "null"})

    assert (answer.status_code, dict(answer.cookies)) == (200, {})


def test_it_is_opened_once_a_visit_not_once_a_file(client, sheet):
    row, token = link_to(sheet)
    post(client, "hand", token)
    post(client, "hand-file", token)

    row.refresh_from_db()
    assert row.opens == 1


def test_a_link_that_is_over_says_so_and_whom_to_call_and_names_nothing(client, sheet):
    row, token = link_to(sheet)
    type(row).objects.update(
        made_at=make.NOW.replace(year=2025), expires_at=make.NOW.replace(year=2025, month=4)
    )

    for name in ("hand", "hand-file", "hand-sign", "hand-slip"):
        answer = post(client, name, token)
        assert answer.status_code == 410
        assert "This link ended on 26 April 2025." in text(answer)
        assert "+44 1632 960101" in text(answer)
        assert sheet.number not in text(answer)
    assert JournalEntry.objects.filter(what="link to sheet refused").count() == 4


def test_a_link_that_was_ended_says_when(client, sheet):
    row, token = link_to(sheet)
    links.revoke(row, "Orla", make.NOW)

    assert "This link was ended on 26 March 2027." in text(post(client, "hand", token))


def test_forged_links_pass_nowhere_and_are_all_answered_alike(client, sheet, monkeypatch):
    monkeypatch.setattr(strangers, "ASKED_A_MINUTE", 10**6)
    link_to(sheet)
    names = ("hand", "hand-file", "hand-sign", "hand-slip")

    answers = [post(client, names[at % 4], secrets.token_urlsafe(32)) for at in range(1000)]

    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.content for answer in answers}) == 1


def test_guessing_is_slowed_down(client, sheet, monkeypatch):
    monkeypatch.setattr(strangers, "ASKED_A_MINUTE", 5)

    answers = [post(client, "hand", secrets.token_urlsafe(32)).status_code for _ in range(8)]

    assert answers == [404] * 5 + [429] * 3


def test_the_token_is_in_no_log_and_no_header(client, sheet, caplog):
    _, token = link_to(sheet)
    forged = secrets.token_urlsafe(32)
    with caplog.at_level(logging.DEBUG):
        opened, refused = post(client, "hand", token), post(client, "hand", forged)

    for each in (token, forged):
        assert each not in caplog.text
        assert each not in str(opened.headers) + str(refused.headers)
    assert opened.headers["Referrer-Policy"] == "no-referrer"


def test_a_name_that_is_typed_signs(client, sheet):
    row, token = link_to(sheet)

    answer = post(client, "hand-sign", token, **signing(open_defects="hall lamp"))

    assert "is signed. Thank you." in text(answer)
    signature = Signature.objects.get()
    assert (signature.name, signature.method, signature.link) == ("Ingunn Sæther", "typed", row)
    assert (signature.open_defects, signature.sheet_sha256) == ("hall lamp", sheet.sha256)


def test_a_drawing_signs_and_its_slip_is_taken(client, sheet):
    _, token = link_to(sheet)
    post(client, "hand-sign", token, **signing(strokes=STROKES))

    assert Signature.objects.get().method == "drawn"
    assert post(client, "hand-slip", token).content.startswith(b"%PDF")


@pytest.mark.parametrize("wrong", [{"name": ""}, {"read": ""}, {"role": "burglar"}, {"strokes": "[[1]]"}])
def test_what_is_missing_is_said_and_nothing_is_signed(client, sheet, wrong):
    _, token = link_to(sheet)

    answer = post(client, "hand-sign", token, **signing(**wrong))

    assert answer.status_code == 422
    assert not Signature.objects.exists()


def test_a_link_for_reading_signs_nothing(client, sheet):
    _, token = link_to(sheet, may_sign=False)

    assert "Sign it" not in text(post(client, "hand", token))
    assert post(client, "hand-sign", token, **signing()).status_code == 403
    assert not Signature.objects.exists()


def test_a_replaced_sheet_is_said_to_be_and_is_not_signed(client, sheet):
    _, token = link_to(sheet)
    newer = make.sheet(sheet.site, revision=2, replaces=sheet)

    said = text(post(client, "hand", token))
    assert f"was replaced by {newer.number}. Ask for that one" in re.sub("<[^>]+>", "", said)
    assert said.index("It was replaced by sheet") < said.index("Take the replaced sheet")
    assert "Sign it" not in said
    assert post(client, "hand-sign", token, **signing()).status_code == 422


def test_there_is_no_slip_before_a_signature(client, sheet):
    _, token = link_to(sheet)

    assert post(client, "hand-slip", token).status_code == 404


def test_what_only_takes_a_form_is_not_opened_by_a_plain_link(client, sheet):
    for name in ("hand-file", "hand-sign", "hand-slip"):
        assert client.get(reverse(name)).status_code == 405


def test_what_is_taken_without_opening_the_page_leaves_a_trace_the_first_time(client, sheet):
    row, token = link_to(sheet)

    for _ in range(2):
        post(client, "hand-file", token)
        post(client, "hand-sign", token, **signing())
        post(client, "hand-slip", token)

    row.refresh_from_db()
    assert row.opens == 1
    lines = JournalEntry.objects.filter(what__endswith="by link").order_by("pk")
    assert [line.what for line in lines] == [
        "sheet taken by link",
        "sheet signed by link",
        "slip taken by link",
    ]
    assert {(line.who, line.details["link"]) for line in lines} == {("Ingunn", str(row.uid)[:8])}
    assert Signature.objects.count() == 1


def test_what_is_taken_through_another_link_leaves_a_trace_of_its_own(client, sheet):
    for _ in range(2):
        post(client, "hand-file", link_to(sheet)[1])

    assert JournalEntry.objects.filter(what="sheet taken by link").count() == 2


def test_a_name_that_cannot_be_seen_is_refused_beside_its_field(client, sheet):
    _, token = link_to(sheet)

    answer = post(client, "hand-sign", token, **signing(name="\u200b\u200d"))

    assert (answer.status_code, "Nothing in it can be seen" in text(answer)) == (422, True)
    assert not Signature.objects.exists()
