"""One sheet after it was issued: handed over, mailed, signed, by people of the firm."""

import json
import re

import pytest
from django.urls import reverse

from reports.models import SheetKind, SheetLink, SheetMail, Signature
from reports.verbs.signing import Signer, sign
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet():
    owner = make.client(name="Ingunn Sæther", email="ingunn@example.org")
    return make.sheet(make.site(code="KELP-7", client=owner), body=b"%PDF-1.7 on paper")


def text(answer):
    return re.sub(r"\s+", " ", re.sub("<[^>]+>", "", answer.content.decode()))


def about(sheet):
    return reverse("sheet-about", args=[sheet.number])


def make_link(client, sheet, **given):
    given = {"link-for_whom": "Ingunn", "link-days": 14, **given}
    return client.post(reverse("sheet-link", args=[sheet.number]), given)


def test_the_first_line_says_whether_it_may_be_worked_from(as_owner, sheet):
    assert f"Hand-over sheet {sheet.number} is in force." in text(as_owner.get(about(sheet)))
    newer = make.sheet(
        sheet.site, revision=2, replaces=sheet, stale_since=make.NOW, changed=["contacts.name"]
    )
    said = text(as_owner.get(about(sheet)))
    assert f"was replaced by {newer.number}. Do not work from it." in said
    stale = text(as_owner.get(about(newer)))
    assert f"{newer.number} is out of date." in stale
    assert "people to call: name" in stale


def test_a_link_is_shown_once_and_listed_afterwards(as_owner, sheet, settings):
    settings.BOOK_ADDRESS = "https://book.example"
    shown = make_link(as_owner, sheet).content.decode()
    (address,) = re.findall(r"https://book\.example/hand/#[\w-]{43}", shown)

    listed = as_owner.get(about(sheet)).content.decode()
    assert "Ingunn" in listed
    assert address not in listed
    assert address.partition("#")[2] not in listed


def test_what_is_wrong_with_a_link_is_said_beside_the_field(as_owner, sheet):
    answer = make_link(as_owner, sheet, **{"link-days": 91})

    assert answer.status_code == 422
    assert "less than or equal to 90" in answer.content.decode()
    assert not SheetLink.objects.exists()


def test_a_link_is_ended_and_said_to_be(as_owner, sheet):
    make_link(as_owner, sheet)
    answer = as_owner.post(reverse("link-end", args=[SheetLink.objects.get().uid]), follow=True)

    assert "The link for Ingunn opens nothing any more." in text(answer)
    assert SheetLink.objects.get().revoked_at is not None


def test_links_and_mails_are_listed_with_the_papers_of_the_home(as_owner, sheet):
    make_link(as_owner, sheet)
    as_owner.post(
        reverse("sheet-mail", args=[sheet.number]),
        {"mail-to_name": "Ingunn", "mail-address": "ingunn@example.org"},
    )

    said = text(as_owner.get(reverse("sheets", args=["KELP-7"])))
    assert "Links to these sheets" in said
    assert "ingunn@example.org" in said


def test_the_clients_address_is_offered_for_mail(as_owner, sheet):
    assert 'value="ingunn@example.org"' in as_owner.get(about(sheet)).content.decode()


def test_a_wrong_mail_address_is_said(as_owner, sheet):
    answer = as_owner.post(
        reverse("sheet-mail", args=[sheet.number]), {"mail-to_name": "Ingunn", "mail-address": "example.org"}
    )

    assert answer.status_code == 422
    assert not SheetMail.objects.exists()


def test_signing_on_this_screen(as_owner, owner, sheet):
    strokes = json.dumps([[100, 100, 200, 300, 300, 100, 400, 200], [1, 1, 2, 2, 3, 3, 4, 4]])
    given = {"name": "Ingunn Sæther", "role": "client", "read": "on", "strokes": strokes}
    answer = as_owner.post(reverse("sheet-sign", args=[sheet.number]), given, follow=True)

    assert f"{sheet.number} is signed by Ingunn Sæther." in text(answer)
    row = Signature.objects.get()
    assert (row.method, row.account) == ("drawn", owner)
    slip = as_owner.get(reverse("sheet-slip", args=[sheet.number, row.uid]))
    assert slip.content.startswith(b"%PDF")


def test_signing_without_having_read_is_refused(as_owner, sheet):
    given = {"name": "Ingunn Sæther", "role": "client", "strokes": ""}

    assert as_owner.post(reverse("sheet-sign", args=[sheet.number]), given).status_code == 422
    assert not Signature.objects.exists()


def test_the_list_says_by_whom_and_when_and_of_a_newer_revision_that_it_is_not(as_owner, owner, sheet):
    sign(sheet, Signer("Ingunn Sæther", "client"), owner, make.NOW)
    first = text(as_owner.get(reverse("sheets", args=["KELP-7"])))
    make.sheet(sheet.site, revision=2, replaces=sheet)
    second = text(as_owner.get(reverse("sheets", args=["KELP-7"])))

    assert "Signed by Ingunn Sæther on 26 Mar 2027" in first
    assert "signature not valid for this revision" not in first
    assert "signature not valid for this revision Ingunn Sæther signed revision 1" in second


def test_a_slip_of_another_sheet_is_not_found(as_owner, owner, sheet):
    row = sign(sheet, Signer("Ingunn Sæther", "client"), owner, make.NOW)
    other = make.sheet(make.site())

    assert as_owner.get(reverse("sheet-slip", args=[other.number, row.uid])).status_code == 404


def test_a_sheet_of_an_erased_client_is_handed_to_nobody(as_owner, sheet):
    sheet.site.client.erased_at = make.NOW
    sheet.site.client.save()

    assert make_link(as_owner, sheet).status_code == 403
    assert as_owner.get(reverse("sheet-sign", args=[sheet.number])).status_code == 403
    assert "Hand over by a link" not in text(as_owner.get(about(sheet)))


def test_a_sheet_about_no_home_is_for_the_office(as_owner, technician, client, sheet):
    type(sheet).objects.filter(pk=sheet.pk).update(site=None, kind=SheetKind.DIGEST, about="2027-03")
    assert as_owner.get(about(sheet)).status_code == 200
    assert make_link(as_owner, sheet).status_code == 200

    client.force_login(technician)
    assert client.get(about(sheet)).status_code == 404
    assert client.post(reverse("link-end", args=[SheetLink.objects.get().uid])).status_code == 404


@pytest.mark.parametrize("rows", [1, 8])
def test_the_page_takes_a_fixed_number_of_statements(as_owner, owner, sheet, django_assert_num_queries, rows):
    for _ in range(rows):
        make_link(as_owner, sheet)
        sign(sheet, Signer("Ingunn Sæther", "client"), owner, make.NOW)
    # session, person, sheet, its newest signature, all signatures, links, mails
    with django_assert_num_queries(7):
        as_owner.get(about(sheet))


def test_a_sheet_that_was_made_anew_asks_whether_it_hangs(as_owner, sheet):
    newer = make.sheet(sheet.site, revision=2, replaces=sheet)
    assert "On the wallthe old one as far as the book knows" in text(as_owner.get(about(newer)))

    answer = as_owner.post(reverse("sheet-hung", args=[newer.number]), follow=True)

    said = text(answer)
    assert f"Written down: {newer.number} hangs there." in said
    assert "The new one hangs there" not in said


def test_a_replaced_sheet_cannot_be_noted_as_hung(as_owner, sheet):
    newer = make.sheet(sheet.site, revision=2, replaces=sheet)

    answer = as_owner.post(reverse("sheet-hung", args=[sheet.number]))

    assert answer.status_code == 422
    assert f"hang {newer.number} there" in text(answer)


def test_a_record_is_not_said_to_be_in_force(as_owner, sheet):
    type(sheet).objects.update(kind=SheetKind.EVIDENCE)

    said = text(as_owner.get(about(sheet)))

    assert "shows the day of its issue and is not compared with the book." in said
    assert "in force" not in said
    home = text(as_owner.get(reverse("sheets", args=["KELP-7"])))
    assert "No sheets of KELP-7 are in force; 1 more shows the day of issue." in home


def test_an_erased_clients_sheet_is_no_longer_kept_up(as_owner, sheet):
    sheet.site.client.erased_at = make.NOW
    sheet.site.client.save()

    assert "is no longer kept up" in text(as_owner.get(about(sheet)))


def test_a_replaced_sheet_is_neither_mailed_nor_handed_over_to_be_signed(as_owner, sheet):
    newer = make.sheet(sheet.site, revision=2, replaces=sheet)

    mail = {"mail-to_name": "Ingunn", "mail-address": "ingunn@example.org"}
    mailed = as_owner.post(reverse("sheet-mail", args=[sheet.number]), mail)
    linked = make_link(as_owner, sheet, **{"link-may_sign": "on"})

    assert (mailed.status_code, linked.status_code) == (422, 422)
    assert f"was replaced by {newer.number}; send that one" in text(mailed)
    assert f"was replaced by {newer.number}; make the link to that one" in text(linked)
    assert not SheetMail.objects.exists()
    assert not SheetLink.objects.exists()
    assert "Send by mail" not in text(as_owner.get(about(sheet)))


def test_a_drawing_that_is_too_short_is_said_to_be_beside_the_pad(as_owner, sheet):
    given = {"name": "Ingunn", "role": "client", "read": "on", "strokes": "[[1, 1, 2, 2]]"}

    answer = as_owner.post(reverse("sheet-sign", args=[sheet.number]), given)

    assert answer.status_code == 422
    assert "drawing: 2 points; right is 8 to 4000. Draw your name, or clear the drawing" in text(answer)
    assert not Signature.objects.exists()


def test_the_same_form_posted_twice_is_one_signature_and_one_mail(as_owner, sheet):
    given = {"name": "Ingunn", "role": "deputy", "read": "on", "strokes": ""}
    mail = {"mail-to_name": "Ingunn", "mail-address": "ingunn@example.org"}
    for _ in range(2):
        as_owner.post(reverse("sheet-sign", args=[sheet.number]), given)
        as_owner.post(reverse("sheet-mail", args=[sheet.number]), mail)

    assert (Signature.objects.count(), SheetMail.objects.count()) == (1, 1)
    assert "deputy of the client" in text(as_owner.get(about(sheet)))
