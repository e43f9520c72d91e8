"""Making the sealed page of a mesh: its keys and codes, encrypted, by two people, and never kept."""

import secrets
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from fleet.keyring import KeyRingError
from fleet.models import Mesh, SealedBody
from fleet.queries.readiness import restorable
from fleet.queries.restoring import GrantRefused, insist_on_copy
from fleet.snapshots.decoding import ReadError
from fleet.snapshots.packing import PackError
from fleet.snapshots.sealing import SealError
from fleet.verbs import journal
from fleet.verbs.two_people import are_one
from reports.drawing import sealed_page as drawing
from reports.drawing.sheet import Paper
from reports.queries.sealed_page import sealed_page_facts
from reports.verbs.encrypting import encrypted
from reports.verbs.passphrase import is_drawn
from reports.verbs.reasons import ReasonRefused, reason_beside

IDENTIFIER_OCTETS = 32


class SealedPageRefused(Exception):
    """No sealed page is made; the sentence says why and what would be right."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Who asks, why, and who confirms."""

    by: str
    reason: str
    second: str


@dataclass(frozen=True, slots=True)
class SealedPage:
    """The encrypted PDF, what it is called, and how many devices have a secret on it."""

    octets: bytes = field(repr=False)
    name: str
    devices: int


@transaction.atomic
def make_sealed_page(mesh: Mesh, passphrase: str, asked: Asked, now: datetime) -> SealedPage:
    """The keys and codes of the mesh's newest sound copy, as a PDF that only the passphrase opens.

    Nothing of it is kept but a line in the journal. Raises SealedPageRefused.
    """
    if not is_drawn(passphrase):
        raise SealedPageRefused("passphrase: it is not the one that was offered; open the page again.")
    reason = _insist_on_people(asked, passphrase)
    try:
        copy = insist_on_copy(mesh, restorable(mesh))
        facts = sealed_page_facts(mesh, copy, now)
    except GrantRefused as error:
        raise SealedPageRefused(str(error)) from None
    except (ReadError, SealedBody.DoesNotExist):
        # What a reader says of a document may name a value in it.
        raise SealedPageRefused("The copy does not open: send in a new snapshot of the mesh.") from None
    except (SealError, PackError, KeyRingError) as error:
        raise SealedPageRefused(f"The copy does not open: {str(error).rstrip('.')}.") from None
    plain = drawing.draw(facts, Paper(mesh.site.paper_size), secrets.token_hex(IDENTIFIER_OCTETS))
    octets = encrypted(plain, passphrase)
    journal.record(
        asked.by,
        "sealed page made",
        mesh.code,
        now,
        snapshot=str(copy.uid),
        devices=len(facts.devices),
        reason=reason,
        second=asked.second,
    )
    return SealedPage(octets, f"{mesh.code}-sealed-page-{now:%Y-%m-%d}.pdf", len(facts.devices))


def _insist_on_people(asked: Asked, passphrase: str) -> str:
    """The reason, as the journal may have it."""
    try:
        reason = reason_beside(passphrase, asked.reason)
    except ReasonRefused as error:
        raise SealedPageRefused(str(error)) from None
    if not asked.second.strip():
        raise SealedPageRefused("second: a second person must confirm; no one person takes keys out alone.")
    if are_one(asked.by, asked.second):
        raise SealedPageRefused("second: the second person must be somebody other than the one who asks.")
    return reason
