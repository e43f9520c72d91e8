"""Sheets by mail: put into the outbox by a person, sent as messages are, the PDF attached."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.core.validators import validate_email
from django.db import transaction

from fleet.queries.clock import Clock
from fleet.verbs import journal
from fleet.verbs.send import Sent, headers_of, send_waiting
from reports.drawing.language import _, speaking
from reports.models import Sheet, SheetMail
from reports.verbs.archived import file_name, octets_of
from reports.verbs.links import is_erased
from sites.models import Firm


class MailError(Exception):
    """Nothing will be sent; the sentence says why and what would be right."""


@transaction.atomic
def put(sheet: Sheet, to_name: str, address: str, by: str, now: datetime) -> SheetMail:
    """The sheet into the outbox, to be sent within minutes. Raises MailError."""
    to_name, address = to_name.strip(), address.strip()
    if not to_name or len(to_name) > 120:
        raise MailError(f"name: {len(to_name)} letters; right is a name of 1 to 120.")
    try:
        validate_email(address)
    except ValidationError:
        raise MailError("address: right is a mail address, such as ingunn@example.org.") from None
    if is_erased(sheet):
        raise MailError(f"sheet: {sheet.number} is of a client who was erased; it is sent to nobody.")
    row = SheetMail.objects.create(
        sheet=sheet, to_name=to_name, address=address, made_at=now, made_by=by[:120], due_at=now
    )
    subject = sheet.site.code if sheet.site else ""
    journal.record(by, "sheet mailed", subject, now, number=sheet.number, to=to_name)
    return row


def send_due(clock: Clock) -> Sent:
    """Send every sheet that is due, the oldest first."""
    return send_waiting(SheetMail, _mail, clock)


def _mail(row: SheetMail) -> EmailMessage:
    sheet = row.sheet
    if is_erased(sheet):
        raise MailError("The client was erased.")
    firm = Firm.objects.first()
    with speaking(sheet.language):
        subject, body = _text(row, sheet, firm)
    mail = EmailMessage(
        subject, body, to=[row.address], headers=headers_of(row.uid, row.made_at, sheet.language)
    )
    mail.attach(file_name(sheet), octets_of(sheet), "application/pdf")
    return mail


def _text(row: SheetMail, sheet: Sheet, firm: Firm | None) -> tuple[str, str]:
    subject = _("Sheet {number}, revision {revision}").format(number=sheet.number, revision=sheet.revision)
    lines = [
        f"{row.to_name},",
        _("attached is sheet {number}, revision {revision}.").format(
            number=sheet.number, revision=sheet.revision
        ),
        _("Print it and take the one before it off the wall. The code on it tells whether it still holds."),
    ]
    signed = [firm.name, firm.office_phone or firm.night_phone] if firm else []
    return subject, "\n\n".join(lines) + "\n\n" + "\n".join(part for part in signed if part) + "\n"
