"""Granting a counter and giving a document back ready to restore: the original octets with the counters advanced.

Every grant goes into the counter ledger before the document leaves, so that a second restore from the same file
always gets a higher number. A copy that is stale, locked out or doubtful is given only when a second person
confirms.
"""

from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from fleet.mesh.counters import StartValue
from fleet.mesh.drill_range import DrillRange
from fleet.models import EvidenceKind, Mesh, Radio, Snapshot
from fleet.queries.readiness import restorable
from fleet.queries.restoring import (
    GIVEN_OUT,
    GrantRefused,
    doubts_about,
    drill_offer_of,
    insist_on_copy,
    insist_on_radio,
    offer_of,
)
from fleet.verbs import journal
from fleet.verbs.ledger import note_number
from fleet.verbs.two_people import are_one

GIVEN_FOR_DRILL = "document given out for a drill"
"""What the journal calls it: apart from restores, so that no swap takes its number for one of its own."""


@dataclass(frozen=True, slots=True)
class Grant:
    """What leaves the book: the document, the number in it, and the copy it came from."""

    document: bytes = field(repr=False)
    start: StartValue
    snapshot: Snapshot


@dataclass(frozen=True, slots=True)
class DrillGrant:
    """What leaves the book for a drill: the document with the first of its numbers in it, and the copy."""

    document: bytes = field(repr=False)
    numbers: DrillRange
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
    mesh, copy = _asked_for(mesh, request, snapshot)
    if request.radio.rehearsals.filter(ended_at=None).exists():
        raise GrantRefused(
            f"radio: {request.radio.code} is in a drill; choose another, or end the drill and wipe it first."
        )
    offer = offer_of(mesh, copy, now)
    note_number(mesh, copy, offer.start.value, request.by, now)
    _record(GIVEN_OUT, mesh, copy, request, now, counter=offer.start.value)
    return Grant(offer.document, offer.start, copy)


@transaction.atomic
def drill_document(mesh: Mesh, request: Request, now: datetime) -> DrillGrant:
    """The document of the newest restorable copy for a drill, with a range of numbers of its own.

    Where it may be written, and to what, is for the caller to judge. Raises GrantRefused.
    """
    mesh, copy = _asked_for(mesh, request, None)
    offer = drill_offer_of(mesh, copy, now)
    note_number(mesh, copy, offer.numbers.last, request.by, now, EvidenceKind.DRILL)
    numbers = {"counter": offer.numbers.first, "counter_to": offer.numbers.last}
    _record(GIVEN_FOR_DRILL, mesh, copy, request, now, **numbers)
    return DrillGrant(offer.document, offer.numbers, copy)


def _asked_for(mesh: Mesh, request: Request, snapshot: Snapshot | None) -> tuple[Mesh, Snapshot]:
    """The mesh, held until the transaction ends, and the copy that may be given out of it."""
    mesh = Mesh.objects.select_for_update(of=("self",)).select_related("site__client").get(pk=mesh.pk)
    asked_for = Snapshot.objects.get(pk=snapshot.pk) if snapshot else restorable(mesh)
    copy = insist_on_copy(mesh, asked_for)
    insist_on_radio(mesh, request.radio)
    _insist_on_people(copy, request)
    return mesh, copy


def _record(what: str, mesh: Mesh, copy: Snapshot, request: Request, now: datetime, **numbers: int) -> None:
    journal.record(
        request.by,
        what,
        mesh.code,
        now,
        snapshot=str(copy.uid),
        radio=request.radio.code,
        **numbers,
        reason=request.reason,
        second=request.second,
    )


def _insist_on_people(copy: Snapshot, request: Request) -> None:
    if not request.reason.strip():
        raise GrantRefused("reason: nothing was written; say why the document is needed.")
    doubts = doubts_about(copy)
    if doubts and not request.second.strip():
        raise GrantRefused(f"second: a second person must confirm. {' '.join(doubts)}")
    if doubts and are_one(request.by, request.second):
        raise GrantRefused("second: the second person must be somebody other than the one who asks.")
