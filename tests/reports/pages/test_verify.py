"""Anybody with a sheet in their hand may ask whether it holds; they learn that and nothing else."""

import re
from hashlib import sha256
from io import BytesIO

import pytest
import zxingcpp
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from reports.drawing import handover, recovery
from reports.drawing.sheet import Paper
from reports.pages import strangers, verify
from reports.verbs import issuing
from tests import make
from tests.reports.papers import home_with_papers, newest
from tests.reports.reading import plumbed

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet():
    return make.sheet(
        make.site(code="KELP-7", client=make.client(name="Ingunn Sæther")), body=b"%PDF-1.7 paper"
    )


def ask(client, sheet, digest=None):
    return client.get(reverse("paper-verify", args=[sheet.number, digest or sheet.digest[:16].upper()]))


def upload(client, body):
    return client.post(reverse("paper-check"), {"file": SimpleUploadedFile("any.pdf", body)})


def text(answer):
    return answer.content.decode()


def test_the_first_line_says_that_it_was_issued_when_and_that_it_holds(client, sheet):
    answer = ask(client, sheet)

    assert answer.status_code == 200
    line = f"Sheet {sheet.number}, revision 1, was issued on 26 March 2027 and is in force."
    assert line in re.sub("<[^>]+>", "", text(answer))


def test_a_replaced_one_is_said_to_be_with_number_and_day(client, sheet):
    newer = make.sheet(sheet.site, revision=2, replaces=sheet)

    said = re.sub("<[^>]+>", "", text(ask(client, sheet)))

    assert f"and replaced by {newer.number} on 26 March 2027. Do not work from it." in said


def test_one_that_is_out_of_date_is_said_to_be(client, sheet):
    type(sheet).objects.update(stale_since=make.NOW)

    assert "has been out of date since 26 March 2027" in text(ask(client, sheet))


def test_nothing_is_said_of_home_client_or_people(client, sheet):
    said = text(ask(client, sheet))

    for secret in ("KELP", "Ingunn", "Sæther", "town house", "Example Row", "Oslo", "Hand-over"):
        assert secret not in said


def test_a_wrong_digest_and_an_unknown_number_are_answered_alike(client, sheet):
    wrong = ask(client, sheet, "0" * 16)
    unknown = client.get(reverse("paper-verify", args=["H-999999-D", "0" * 16]))
    nonsense = client.get(reverse("paper-verify", args=["<b>", "x"]))

    assert {answer.status_code for answer in (wrong, unknown, nonsense)} == {404}
    assert wrong.content == unknown.content == nonsense.content


def test_no_cookie_is_set_nothing_is_kept_and_no_other_site_is_told(client, sheet):
    answer = ask(client, sheet)

    assert not answer.cookies
    assert "no-store" in answer.headers["Cache-Control"]
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert "noindex" in answer.headers["X-Robots-Tag"]


def test_typed_numbers_are_asked_by_a_plain_form(client, sheet):
    digest = " ".join(sheet.digest[at : at + 4] for at in range(0, 16, 4))
    found = client.get(reverse("paper-check"), {"number": sheet.number.lower(), "digest": digest})
    none = client.get(reverse("paper-check"), {"number": "<script>", "digest": digest})

    assert "is in force" in text(found)
    assert none.status_code == 404
    assert "<script>" not in text(none)


def test_the_file_itself_is_checked_against_the_archive(client, sheet):
    assert "is in force" in text(upload(client, b"%PDF-1.7 paper"))
    changed = upload(client, b"%PDF-1.7 papeR")
    assert (changed.status_code, verify.NO_SUCH_FILE in text(changed)) == (404, True)


def test_a_large_file_is_worked_through_in_pieces(client, sheet):
    body = bytes(range(256)) * 4096 * 3
    type(sheet).objects.update(sha256=sha256(body).hexdigest())

    assert "is in force" in text(upload(client, body))


def test_a_file_that_is_too_large_is_refused_and_none_asked_for(client, monkeypatch):
    monkeypatch.setattr(verify, "MOST_OCTETS", 1000)
    monkeypatch.setattr(verify, "ROOM_FOR_THE_FORM", 10**9)
    in_pieces = upload(client, b"x" * 1001)
    monkeypatch.setattr(verify, "ROOM_FOR_THE_FORM", 0)
    at_once = upload(client, b"x" * 1001)

    assert (in_pieces.status_code, at_once.status_code) == (413, 413)
    assert client.post(reverse("paper-check"), {}).status_code == 422


def test_whoever_asks_too_often_waits(client, sheet, monkeypatch):
    monkeypatch.setattr(strangers, "ASKED_A_MINUTE", 3)
    answers = [ask(client, sheet, "0" * 16) for _ in range(5)]

    assert [answer.status_code for answer in answers] == [404, 404, 404, 429, 429]
    assert 0 < int(answers[-1].headers["Retry-After"]) <= 60
    elsewhere = client.get(
        reverse("paper-verify", args=[sheet.number, sheet.digest[:16]]), REMOTE_ADDR="198.51.100.7"
    )
    assert elsewhere.status_code == 200


def test_behind_a_proxy_it_is_the_address_that_the_proxy_saw(rf, settings):
    settings.SECURE_PROXY = True
    told = [
        strangers.address_mark(rf.get("/", headers={"X-Forwarded-For": tale}))
        for tale in ("198.51.100.7", "203.0.113.9, 198.51.100.7", "203.0.113.9")
    ]
    assert told[0] == told[1] != told[2]


@pytest.mark.parametrize("kind", ["handover", "recovery"])
def test_the_code_on_a_sheet_opens_its_page(client, settings, kind):
    """Drawn, rendered at 150 dpi and read back by an independent decoder."""
    settings.BOOK_ADDRESS = "http://testserver"
    sheet = newest(home_with_papers(), kind)
    with sheet.file.open("rb") as held, plumbed(held.read()) as file:
        image = file.pages[0].to_image(resolution=150).original
    (found,) = zxingcpp.read_barcodes(image)

    assert found.text == f"HTTP://TESTSERVER/PAPER/{sheet.number}/{sheet.digest[:16].upper()}/"
    answer = client.get(found.text.removeprefix("HTTP://TESTSERVER"))
    assert answer.status_code == 200
    assert f"{sheet.number}" in text(answer)


def test_a_new_address_of_the_book_makes_no_sheet_stale(settings):
    mesh = home_with_papers()
    settings.BOOK_ADDRESS = "https://book.example"

    assert issuing.renew_stale(make.NOW, "Orla") == []
    assert newest(mesh, "recovery").revision == 1


@pytest.mark.parametrize("drawing", [handover, recovery])
def test_equal_facts_with_an_address_give_equal_octets(drawing):
    from dataclasses import replace

    from tests.reports import samples

    facts = samples.kelp_handover() if drawing is handover else samples.kelp_recovery()
    there = replace(facts, issue=replace(facts.issue, verify_at="https://book.example"))
    first, second, without = (drawing.draw(each, Paper.A4) for each in (there, there, facts))

    assert first == second != without
    assert BytesIO(first).read(4) == b"%PDF"


def test_a_sheet_of_an_erased_client_is_said_to_be_kept_up_no_longer(client, sheet):
    sheet.site.client.erased_at = make.NOW
    sheet.site.client.save()

    told = text(ask(client, sheet))

    assert "and is no longer kept up: what it shows is not compared any more." in told
    for secret in ("in force", "erased", "KELP", "Ingunn"):
        assert secret not in told


@pytest.mark.parametrize("length", ["many", "1e3", "-1", ""])
def test_a_length_that_is_no_number_is_no_error_of_the_book(client, length):
    answer = client.post(reverse("paper-check"), CONTENT_LENGTH=length)

    assert answer.status_code in (400, 422)
