"""Granting a counter and giving a document back ready to restore: the original octets with the counters advanced.

Every grant goes into the counter ledger before the document leaves, so that a second restore from the same file
always gets a higher number. A copy that is stale, locked out or doubtful is given only when a second person
confirms.
"""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.mesh.counters import CounterError, StartValue
from fleet.models import CounterEvidence, Currency, Custody, EvidenceKind, Grade, Mesh, Radio, Snapshot
from fleet.queries.counters import counter_picture
from fleet.queries.layouts import guide_of
from fleet.queries.readiness import restorable
from fleet.queries.sealed import open_body
from fleet.snapshots.advancing import advance
from fleet.snapshots.decoding import ReadError
from fleet.snapshots.findings import Severity
from fleet.snapshots.packing import PackError
from fleet.snapshots.sealing import SealError
from fleet.snapshots.writing_back import WriteBackError
from fleet.verbs import journal


class GrantRefused(Exception):
    """The document is not given; the sentence says why and what would be right."""


@dataclass(frozen=True, slots=True)
class Grant:
    """What leaves the book: the document, the number in it, and the copy it came from."""

    document: bytes
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
    copy = Snapshot.objects.get(pk=snapshot.pk) if snapshot else restorable(mesh)
    if copy is None:
        raise GrantRefused(f"{mesh.code} has no snapshot that can be restored. Take one and send it in.")
    _insist(mesh, copy, request)
    start = _start_value(mesh, copy, now)
    body = _opened(copy)
    document = _advanced(copy, body, start.value)
    CounterEvidence.objects.create(
        mesh=mesh,
        key_mark=copy.key_mark,
        key_sequence=copy.key_sequence,
        head_address=mesh.head_address,
        value=start.value,
        at=now,
        landed_at=now,
        kind=EvidenceKind.RESTORE,
        snapshot=copy,
        by=request.by,
    )
    journal.record(
        request.by,
        "restore document given out",
        mesh.code,
        now,
        snapshot=str(copy.uid),
        radio=request.radio.code,
        counter=start.value,
        reason=request.reason,
        second=request.second,
    )
    return Grant(document, start, copy)


def doubts_about(mesh: Mesh, copy: Snapshot) -> tuple[str, ...]:
    """Why one person may not take this copy alone; empty where they may."""
    doubts = []
    if copy.grade in (Grade.LANDED, Grade.HELD):
        doubts.append("it is held: a finding says that it must not count as a sound copy")
    if copy.currency == Currency.STALE:
        doubts.append("it is stale: devices may have joined since")
    if copy.currency == Currency.LOCKED_OUT:
        doubts.append("it is locked out: the network key was changed since")
    found = copy.findings.filter(severity__in=(Severity.DOUBT.value, Severity.STOP.value))
    doubts += [finding.message for finding in found]
    return tuple(doubts)


def _insist(mesh: Mesh, copy: Snapshot, request: Request) -> None:
    if not request.reason.strip():
        raise GrantRefused("reason: nothing was written; say why the document is needed.")
    if copy.mesh_id != mesh.pk:
        raise GrantRefused(f"snapshot: that copy is not one of {mesh.code}.")
    if copy.custody == Custody.GONE:
        raise GrantRefused(f"snapshot: the copy of {copy.taken_at:%Y-%m-%d %H:%M} UTC was erased.")
    doubts = doubts_about(mesh, copy)
    if doubts and not request.second.strip():
        raise GrantRefused(f"second: a second person must confirm, because {'; '.join(doubts)}.")
    if doubts and request.second.strip().casefold() == request.by.strip().casefold():
        raise GrantRefused("second: the second person must be somebody other than the one who asks.")


def _start_value(mesh: Mesh, copy: Snapshot, now: datetime) -> StartValue:
    picture = counter_picture(mesh, now, key_mark=copy.key_mark, key_sequence=copy.key_sequence)
    if picture is None:
        raise GrantRefused(
            "The counter ledger has no line for the key of this copy; no safe number can be given."
        )
    try:
        picture.start.writable()
    except CounterError as error:
        raise GrantRefused(f"{error}.") from None
    return picture.start


def _opened(copy: Snapshot) -> bytes:
    try:
        return open_body(copy.sealed_body)
    except (SealError, PackError) as error:
        raise GrantRefused(
            f"The copy does not open: {error}. Choose another, or put back a copy of the database."
        ) from None


def _advanced(copy: Snapshot, body: bytes, start: int) -> bytes:
    guide = guide_of(copy.guide) if copy.guide else None
    try:
        return advance(body, guide, copy.outgoing_counter, start)
    except (WriteBackError, ReadError) as error:
        raise GrantRefused(f"The number cannot be put into this document: {error}.") from None
