"""Signing a sheet: a row bound to the digests of the revision that lay before the signer, and its slip."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction

from fleet.verbs import journal
from reports.drawing import slip
from reports.facts.slip import SlipFacts
from reports.facts.strokes import Strokes
from reports.models import Method, Sheet, SheetLink, Signature
from reports.queries.verifying import zone_of
from reports.verbs.archived import Damaged, octets_of
from reports.verbs.issuing import PAPERS
from reports.verbs.links import is_erased
from sites.models import PaperSize, Person


class SignError(Exception):
    """Nothing was signed; the sentence says why and what would be right."""


@dataclass(frozen=True, slots=True)
class Signer:
    """Who signs and as what, what they accept, and their strokes (none: the typed name is the signature)."""

    name: str
    role: str
    strokes: Strokes = ()
    open_defects: str = ""
    not_tested: str = ""


@transaction.atomic
def sign(sheet: Sheet, signer: Signer, through: Person | SheetLink, now: datetime) -> Signature:
    """A signature under this revision. Raises SignError where it was replaced or its file is not as issued."""
    for field, value, most in (("name", signer.name, 120), ("as", signer.role, 60)):
        if not value.strip() or len(value.strip()) > most:
            raise SignError(f"{field}: {len(value.strip())} letters; right are 1 to {most}.")
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
    row = Signature.objects.create(
        sheet=sheet,
        name=signer.name.strip(),
        role=signer.role.strip(),
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
    who = f"{row.name} ({'by link' if by_link else through})"
    subject = sheet.site.code if sheet.site else ""
    journal.record(
        who[:120], "sheet signed", subject, now, number=sheet.number, sha256=sheet.sha256, method=row.method
    )
    return row


def slip_of(signature: Signature) -> bytes:
    """The slip of a signature as a PDF, drawn from rows that never change and from the book's address."""
    sheet = signature.sheet
    facts = SlipFacts(
        number=sheet.number,
        revision=sheet.revision,
        digest=signature.sheet_digest,
        sha256=signature.sheet_sha256,
        name=signature.name,
        role=signature.role,
        signed_at=signature.signed_at.astimezone(ZoneInfo(signature.zone)),
        zone=signature.zone,
        through=_through(signature),
        strokes=tuple(tuple(stroke) for stroke in signature.strokes),
        open_defects=signature.open_defects or None,
        not_tested=signature.not_tested or None,
        language=sheet.language,
        verify_at=settings.BOOK_ADDRESS,
    )
    return slip.draw(facts, PAPERS[PaperSize(sheet.paper)])


def _through(signature: Signature) -> str:
    if signature.link:
        return f"link {str(signature.link.uid)[:8]}, {signature.link.for_whom}"
    return f"account {signature.account.get_username()}"
