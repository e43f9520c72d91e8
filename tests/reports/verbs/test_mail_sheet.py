"""Sheets by mail: the file that was issued, attached, sent once."""

from datetime import timedelta

import pytest
from django.core import mail

from fleet.models import JournalEntry
from reports.models import SheetMail
from reports.verbs import mail_sheet
from reports.verbs.mail_sheet import MailError
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _post(settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"


@pytest.fixture
def sheet():
    make.firm(office_phone="+44 1632 960101")
    return make.sheet(make.site(code="KELP-7"), body=b"%PDF-1.7 on paper")


def send(now=make.NOW):
    return mail_sheet.send_due(lambda: now)


def test_the_sheet_is_attached_as_it_was_issued(sheet):
    mail_sheet.put(sheet, "Ingunn", "ingunn@example.org", "Orla", make.NOW)

    assert send().sent == 1

    (sent,) = mail.outbox
    assert sent.to == ["ingunn@example.org"]
    assert sheet.number in sent.subject
    assert "+44 1632 960101" in sent.body
    assert sent.attachments[0] == (f"KELP-7-{sheet.number}.pdf", b"%PDF-1.7 on paper", "application/pdf")


def test_it_is_sent_once(sheet):
    row = mail_sheet.put(sheet, "Ingunn", "ingunn@example.org", "Orla", make.NOW)
    send()

    assert send(make.NOW + timedelta(days=1)).sent == 0
    row.refresh_from_db()
    assert row.state == "sent"


def test_a_damaged_file_is_not_sent(sheet):
    row = mail_sheet.put(sheet, "Ingunn", "ingunn@example.org", "Orla", make.NOW)
    with sheet.file.storage.open(sheet.file.name, "wb") as file:
        file.write(b"%PDF-1.7 something else")

    assert (send().failed, mail.outbox) == (1, [])
    row.refresh_from_db()
    assert row.given_up_at == make.NOW
    assert row.last_error.startswith(f"Not sent: The file of sheet {sheet.number} is gone")


def test_nothing_goes_out_of_a_client_who_was_erased_meanwhile(sheet):
    row = mail_sheet.put(sheet, "Ingunn", "ingunn@example.org", "Orla", make.NOW)
    sheet.site.client.erased_at = make.NOW
    sheet.site.client.save()

    assert (send().failed, mail.outbox) == (1, [])
    row.refresh_from_db()
    why = f"Not sent: {sheet.number} is of a client who was erased; it is sent to nobody."
    assert (row.state, row.last_error) == ("failed", why)
    assert send(make.NOW + timedelta(days=1)).failed == 0


def test_nothing_waits_for_a_mail_server_that_must_not_go_out(sheet, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9
    row = mail_sheet.put(sheet, "Ingunn", "ingunn@example.org", "Orla", make.NOW)
    newer = make.sheet(sheet.site, revision=2, replaces=sheet)

    send()

    row.refresh_from_db()
    why = f"Not sent: {sheet.number} was replaced by {newer.number}; send that one."
    assert (row.state, row.last_error) == ("failed", why)


def test_a_replaced_sheet_is_not_put_into_the_outbox(sheet):
    newer = make.sheet(sheet.site, revision=2, replaces=sheet)

    with pytest.raises(MailError, match=f"replaced by {newer.number}; send that one"):
        mail_sheet.put(sheet, "Ingunn", "ingunn@example.org", "Orla", make.NOW)
    assert not SheetMail.objects.exists()


def test_a_form_posted_twice_is_one_mail_and_a_later_one_is_another(sheet):
    given = (sheet, "Ingunn", "ingunn@example.org", "Orla")
    first = mail_sheet.put(*given, make.NOW)
    send()

    assert mail_sheet.put(*given, make.NOW + timedelta(seconds=5)) == first
    assert JournalEntry.objects.filter(what="sheet mailed").count() == 1
    assert mail_sheet.put(*given, make.NOW + timedelta(hours=1)) != first


@pytest.mark.parametrize(
    ("name", "address", "field"),
    [
        ("", "i@example.org", "name"),
        ("Ingunn", "example.org", "address"),
        ("Ingunn", "a@b\nBcc: c@d.example", "address"),
    ],
)
def test_what_cannot_be_right_is_refused(sheet, name, address, field):
    with pytest.raises(MailError, match=rf"^{field}: "):
        mail_sheet.put(sheet, name, address, "Orla", make.NOW)
    assert not SheetMail.objects.exists()


def test_the_journal_says_to_whom_and_not_the_address(sheet):
    mail_sheet.put(sheet, "Ingunn", "ingunn@example.org", "Orla", make.NOW)

    line = JournalEntry.objects.get(what="sheet mailed")
    assert line.details == {"number": sheet.number, "to": "Ingunn"}
