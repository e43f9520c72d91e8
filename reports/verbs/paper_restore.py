"""A paper copy opened again: its document with the counters put forward, the number noted in the ledger."""

from dataclasses import dataclass, field
from datetime import UTC, datetime

from django.db import transaction

from fleet.mesh.counters import CounterError
from fleet.models import Mesh, Snapshot
from fleet.queries.counters import counter_picture
from fleet.snapshots.advancing import advance
from fleet.snapshots.decoding import ReadError
from fleet.snapshots.digests import digest_of_bytes
from fleet.snapshots.guides import from_json
from fleet.snapshots.writing_back import WriteBackError
from fleet.verbs import journal
from fleet.verbs.ledger import note_number
from reports.paper.opening import Opened, PaperError


@dataclass(frozen=True, slots=True)
class Restored:
    """The document, the number in it, and whether the counter ledger of this book knows of it."""

    document: bytes = field(repr=False)
    number: int
    noted: bool


@transaction.atomic
def restore_paper(opened: Opened, attempt: int, by: str, now: datetime) -> Restored:
    """The document of an opened paper copy, ready to restore. Days count in UTC, as on the paper.

    Where the book still has the snapshot, its counter ledger has a say too: the higher number is written, and noted.
    Raises PaperError.
    """
    number = opened.number_on(now.astimezone(UTC).date(), attempt)
    copy = _known(opened)
    if copy is not None:
        number = max(number, _by_the_ledger(copy, now))
    document = _advanced(opened, number)
    if copy is not None:
        note_number(copy.mesh, copy, number, by, now)
        journal.record(by, "paper copy restored", copy.mesh.code, now, counter=number, snapshot=str(copy.uid))
    return Restored(document, number, copy is not None)


def _known(opened: Opened) -> Snapshot | None:
    digest = digest_of_bytes(opened.document).hex()
    mesh = Mesh.objects.select_for_update(of=("self",)).filter(code=opened.mesh).first()
    if mesh is None:
        return None
    return mesh.snapshots.select_related("mesh__site__client").filter(sha256=digest).first()


def _by_the_ledger(copy: Snapshot, now: datetime) -> int:
    picture = counter_picture(copy.mesh, now, key_mark=copy.key_mark, key_sequence=copy.key_sequence)
    try:
        return picture.start.writable() if picture else 0
    except CounterError as error:
        raise PaperError(str(error)) from None


def _advanced(opened: Opened, number: int) -> bytes:
    try:
        return advance(opened.document, from_json(opened.layout.encode()) if opened.layout else None, number)
    except (WriteBackError, ReadError) as error:
        raise PaperError(f"the number cannot be put into the document: {error}") from None
