"""Sheets by mail: put into the outbox by a person, sent as messages are, the PDF attached."""

from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.core.validators import validate_email
from django.db import transaction
from django.db.models import Q

from fleet.queries.clock import Clock
from fleet.verbs import journal
from fleet.verbs.send import NeverSend, Sent, headers_of, send_waiting
from reports.drawing.language import _, speaking
from reports.facts.names import fault_of_name
from reports.models import Sheet, SheetMail
from reports.verbs.archived import Damaged, file_name, octets_of
from reports.verbs.links import is_erased
from sites.models import Firm

A_MOMENT = timedelta(minutes=2)
"""Within it the same sheet to the same person is one form that was posted twice."""


class MailError(Exception):
    """Nothing will be sent; the sentence says why and what would be right."""


@transaction.atomic
def put(sheet: Sheet, to_name: str, address: str, by: str, now: datetime) -> SheetMail:
    """The sheet into the outbox, to be sent within minutes. Raises MailError."""
    to_name, address = to_name.strip(), address.strip()
    if fault := fault_of_name(to_name):
        raise MailError(f"name: {fault}.")
    try:
        validate_email(address)
    except ValidationError:
        raise MailError("address: right is a mail address, such as ingunn@example.org.") from None
    # Held, so that of two posts of one form the second finds the mail of the first.
    held = Sheet.objects.select_for_update(of=("self",)).get(pk=sheet.pk)
    if why := _why_never(sheet):
        raise MailError(f"sheet: {why}")
    if twin := _twin(held, to_name, address, now):
        return twin
    row = SheetMail.objects.create(
        sheet=sheet, to_name=to_name, address=address, made_at=now, made_by=by[:120], due_at=now
    )
    subject = sheet.site.code if sheet.site else ""
    journal.record(by, "sheet mailed", subject, now, number=sheet.number, to=to_name)
    return row


def _why_never(sheet: Sheet) -> str:
    """Why this sheet goes out to nobody; empty where it may."""
    if is_erased(sheet):
        return f"{sheet.number} is of a client who was erased; it is sent to nobody."
    newer = Sheet.objects.filter(replaces=sheet).first()
    return f"{sheet.number} was replaced by {newer.number}; send that one." if newer else ""


def _twin(sheet: Sheet, to_name: str, address: str, now: datetime) -> SheetMail | None:
    """The same mail where it waits, or was put here a moment ago."""
    same = SheetMail.objects.filter(sheet=sheet, to_name=to_name, address=address, given_up_at=None)
    return same.filter(Q(sent_at=None) | Q(made_at__gt=now - A_MOMENT)).first()


def send_due(clock: Clock) -> Sent:
    """Send every sheet that is due, the oldest first."""
    return send_waiting(SheetMail, _mail, clock)


def _mail(row: SheetMail) -> EmailMessage:
    sheet = row.sheet
    if why := _why_never(sheet):
        raise NeverSend(f"Not sent: {why}")
    try:
        octets = octets_of(sheet)
    except Damaged as damaged:
        raise NeverSend(f"Not sent: {damaged}") from None
    firm = Firm.objects.first()
    with speaking(sheet.language):
        subject, body = _text(row, sheet, firm)
    mail = EmailMessage(
        subject, body, to=[row.address], headers=headers_of(row.uid, row.made_at, sheet.language)
    )
    mail.attach(file_name(sheet), octets, "application/pdf")
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
