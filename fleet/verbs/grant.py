"""Granting a counter and giving a document back ready to restore: the original octets with the counters advanced.

Every grant goes into the counter ledger before the document leaves, so that a second restore from the same file
always gets a higher number. A copy that is stale, locked out or doubtful is given only when a second person
confirms.
"""

from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from fleet.mesh.counters import StartValue
from fleet.models import Mesh, Radio, Snapshot
from fleet.queries.readiness import restorable
from fleet.queries.restoring import (
    GIVEN_OUT,
    GrantRefused,
    doubts_about,
    insist_on_copy,
    insist_on_radio,
    offer_of,
)
from fleet.verbs import journal
from fleet.verbs.ledger import note_number


@dataclass(frozen=True, slots=True)
class Grant:
    """What leaves the book: the document, the number in it, and the copy it came from."""

    document: bytes = field(repr=False)
    start: StartValue
    snapshot: Snapshot


@dataclass(frozen=True, slots=True)
class Request:
    """Who asks, for which radio, why, and who confirms where one person is not enough."""

    radio: Radio
    by: str
    reason: str
    second: str = ""


@transaction.atomic
def restore_document(mesh: Mesh, request: Request, now: datetime, snapshot: Snapshot | None = None) -> Grant:
    """The document of the newest restorable copy (or of the one named) for this radio.

    Raises GrantRefused. Call it again for every attempt: a number is never used twice.
    """
    mesh = Mesh.objects.select_for_update(of=("self",)).select_related("site__client").get(pk=mesh.pk)
    asked_for = Snapshot.objects.get(pk=snapshot.pk) if snapshot else restorable(mesh)
    copy = insist_on_copy(mesh, asked_for)
    insist_on_radio(mesh, request.radio)
    _insist_on_people(copy, request)
    offer = offer_of(mesh, copy, now)
    note_number(mesh, copy, offer.start.value, request.by, now)
    journal.record(
        request.by,
        GIVEN_OUT,
        mesh.code,
        now,
        snapshot=str(copy.uid),
        radio=request.radio.code,
        counter=offer.start.value,
        reason=request.reason,
        second=request.second,
    )
    return Grant(offer.document, offer.start, copy)


def _insist_on_people(copy: Snapshot, request: Request) -> None:
    if not request.reason.strip():
        raise GrantRefused("reason: nothing was written; say why the document is needed.")
    doubts = doubts_about(copy)
    if doubts and not request.second.strip():
        raise GrantRefused(f"second: a second person must confirm. {' '.join(doubts)}")
    if doubts and request.second.strip().casefold() == request.by.strip().casefold():
        raise GrantRefused("second: the second person must be somebody other than the one who asks.")
