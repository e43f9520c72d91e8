"""Signing a sheet: a row bound to the digests of the revision that lay before the signer, and its slip."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction

from fleet.verbs import journal
from reports.drawing import slip
from reports.facts.names import fault_of_name
from reports.facts.slip import SlipFacts
from reports.facts.strokes import Strokes
from reports.models import Method, Sheet, SheetLink, Signature, SignedAs
from reports.queries.verifying import zone_of
from reports.verbs.archived import Damaged, octets_of
from reports.verbs.issuing import PAPERS
from reports.verbs.links import is_erased
from sites.models import PaperSize, Person


class SignError(Exception):
    """Nothing was signed; the sentence says why and what would be right."""


@dataclass(frozen=True, slots=True)
class Signer:
    """Who signs, as what (one of SignedAs), what they accept, and their strokes (none: the typed name signs)."""

    name: str
    role: str
    strokes: Strokes = ()
    open_defects: str = ""
    not_tested: str = ""


@transaction.atomic
def sign(sheet: Sheet, signer: Signer, through: Person | SheetLink, now: datetime) -> Signature:
    """A signature under this revision; the same again through the same link or account is the one that was given.

    Raises SignError where it was replaced or its file is not as issued.
    """
    if fault := fault_of_name(signer.name):
        raise SignError(f"name: {fault}.")
    if signer.role not in SignedAs.values:
        raise SignError(f"as: “{signer.role}”; right is {', '.join(SignedAs.values)}.")
    # Held, so that no revision that replaces it comes in between.
    held = Sheet.objects.select_for_update().get(pk=sheet.pk)
    newer = Sheet.objects.filter(replaces=held).first()
    if newer:
        raise SignError(f"sheet: {sheet.number} was replaced by {newer.number}; sign that one.")
    if is_erased(sheet):
        raise SignError(f"sheet: {sheet.number} is of a client who was erased; nothing more is signed.")
    try:
        octets_of(sheet)
    except Damaged as error:
        raise SignError(f"sheet: {error} Issue it again first.") from None
    by_link = isinstance(through, SheetLink)
    row = Signature(
        sheet=sheet,
        name=signer.name.strip(),
        role=signer.role,
        method=Method.DRAWN if signer.strokes else Method.TYPED,
        strokes=[list(stroke) for stroke in signer.strokes],
        open_defects=signer.open_defects.strip()[:500],
        not_tested=signer.not_tested.strip()[:500],
        signed_at=now,
        zone=zone_of(sheet),
        account=None if by_link else through,
        link=through if by_link else None,
        sheet_digest=sheet.digest,
        sheet_sha256=sheet.sha256,
    )
    if given := _given_before(row):
        return given
    row.save(force_insert=True)
    who = f"{row.name} ({'by link' if by_link else through})"
    subject = sheet.site.code if sheet.site else ""
    journal.record(
        who[:120], "sheet signed", subject, now, number=sheet.number, sha256=sheet.sha256, method=row.method
    )
    return row


def _given_before(row: Signature) -> Signature | None:
    """The signature that says the very same: one form that was posted twice is one signature."""
    same = ("sheet", "account", "link", "name", "role", "open_defects", "not_tested")
    rows = Signature.objects.filter(**{field: getattr(row, field) for field in same})
    return next((each for each in rows if each.strokes == row.strokes), None)


def slip_of(signature: Signature) -> bytes:
    """The slip of a signature as a PDF, drawn from rows that never change and from the book's address."""
    sheet = signature.sheet
    through = str(signature.link.uid)[:8] if signature.link else signature.account.get_username()
    facts = SlipFacts(
        number=sheet.number,
        revision=sheet.revision,
        digest=signature.sheet_digest,
        sha256=signature.sheet_sha256,
        name=signature.name,
        role=signature.role,
        signed_at=signature.signed_at.astimezone(ZoneInfo(signature.zone)),
        zone=signature.zone,
        through=through,
        link_for=signature.link.for_whom if signature.link else None,
        strokes=tuple(tuple(stroke) for stroke in signature.strokes),
        open_defects=signature.open_defects or None,
        not_tested=signature.not_tested or None,
        language=sheet.language,
        verify_at=settings.BOOK_ADDRESS,
    )
    return slip.draw(facts, PAPERS[PaperSize(sheet.paper)])
