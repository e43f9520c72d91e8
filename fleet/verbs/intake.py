"""Taking a document in: read, checked, sealed, and the book changed, in one transaction.

Nothing that arrives is dropped. What cannot be read, or belongs to another mesh, waits sealed in the tray; what
was here before is counted as one more arrival.
"""

from dataclasses import asdict, dataclass
from datetime import datetime
from enum import StrEnum

from django.db import transaction

from fleet import keyring
from fleet.mesh.addresses import show_eui64
from fleet.models import (
    Arrival,
    Currency,
    DataKey,
    Finding,
    Grade,
    How,
    Mesh,
    Snapshot,
    TrayItem,
    TrayReason,
)
from fleet.queries.intake import Known, known
from fleet.queries.layouts import Reading, UnknownLayout, read
from fleet.queries.sealed import insist_whole
from fleet.snapshots import checking, digests
from fleet.snapshots.decoding import Problem, ReadError
from fleet.snapshots.facts import SnapshotFacts
from fleet.snapshots.hearing import seen_live
from fleet.verbs import journal
from fleet.verbs.book import change_book, counter_line, is_of_another_key
from fleet.verbs.findings import columns_of
from fleet.verbs.seal import data_key_for, put_away, sealed
from fleet.verbs.write import write_family

PROBLEMS_KEPT = 50
# A re-formed mesh or another head is the same home: its copy is held, not put in the tray.
ANOTHER_MESH = frozenset({checking.Code.WRONG_HOME, checking.Code.ADDRESSES_REVERSED})


class Kind(StrEnum):
    """What became of a document."""

    STORED = "stored"
    REPEATED = "repeated"
    TRAYED = "trayed"


@dataclass(frozen=True, slots=True)
class Origin:
    """How a document came, by whose hand or token, under which file name."""

    how: How
    by: str
    file_name: str = ""


@dataclass(frozen=True, slots=True)
class Marks:
    """Keyed digests of a document's octets, of what it says, and of its network key."""

    body: bytes
    meaning: bytes
    network_key: bytes


@dataclass(frozen=True, slots=True)
class Receipt:
    """The answer to whoever sent it: exactly one of snapshot and tray_item is set."""

    kind: Kind
    snapshot: Snapshot | None = None
    tray_item: TrayItem | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def problems(self) -> list[dict[str, str]]:
        """Why it waits in the tray, a line each; empty where it was stored."""
        return self.tray_item.problems if self.tray_item else []


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a document cannot be taken in for a mesh."""

    reason: TrayReason
    problems: tuple[Problem, ...]

    @property
    def lines(self) -> list[dict[str, str]]:
        """The problems as a tray item keeps them."""
        return [asdict(problem) for problem in self.problems[:PROBLEMS_KEPT]]


def receive(mesh: Mesh | None, body: bytes, origin: Origin, now: datetime) -> Receipt:
    """Take one document in for this mesh; None where the sender named no mesh that exists.

    `now` is the moment of arrival. Raises nothing for a bad document: the receipt says what became of it. Raises
    Erased where the mesh's client was erased; then nothing is kept.
    """
    outcome = take_in(mesh, body, origin, now)
    return outcome if isinstance(outcome, Receipt) else _to_tray(mesh, body, origin, now, outcome)


def take_in(mesh: Mesh | None, body: bytes, origin: Origin, now: datetime) -> Receipt | Refusal:
    """The same, but what cannot be taken in is put nowhere."""
    if mesh is None:
        return Refusal(TrayReason.NO_MESH, (Problem("mesh", "", "the code of a mesh in this book"),))
    try:
        reading = read(body)
    except UnknownLayout as error:
        return Refusal(TrayReason.UNKNOWN_LAYOUT, error.problems)
    except ReadError as error:
        return Refusal(TrayReason.UNREADABLE, error.problems)
    return _take(mesh, body, reading, _marks(body, reading.facts), origin, now)


def rehearse(mesh: Mesh, body: bytes, reading: Reading, now: datetime) -> Receipt | Refusal:
    """What would become of a document that is read this way: it is taken in, and all of it is undone."""
    marks = _marks(body, reading.facts)
    with transaction.atomic():
        outcome = _take(mesh, body, reading, marks, Origin(How.COMMAND, ""), now)
        transaction.set_rollback(True)
    return outcome


def _marks(body: bytes, facts: SnapshotFacts) -> Marks:
    key = keyring.load().digest_key
    return Marks(
        body=digests.keyed_digest(key, body),
        meaning=digests.meaning_digest(facts, key),
        network_key=digests.key_mark(key, facts.network_key),
    )


@transaction.atomic
def _take(
    mesh: Mesh, body: bytes, reading: Reading, marks: Marks, origin: Origin, now: datetime
) -> Receipt | Refusal:
    # The lock makes simultaneous copies of one document queue up: the second finds the first one's record.
    book = known(mesh, reading.facts, marks.meaning, marks.network_key, now)
    mesh = book.mesh
    data_key = book.data_key or data_key_for(mesh, now)
    insist_whole(data_key)
    if book.same is not None:
        return _repeated(book.same, mesh, body, marks, data_key, origin, now)
    found = checking.check(reading.facts, book.context)
    problems = _why_another_mesh(mesh, reading.facts, found)
    if problems:
        return Refusal(TrayReason.WRONG_HOME, problems)
    snapshot = _snapshot(book, body, reading, marks, found, now)
    rows = [
        _arrival(snapshot, marks, origin, now),
        sealed(snapshot, body, data_key),
        journal.line(
            origin.by, "snapshot taken in", mesh.code, now, snapshot=str(snapshot.uid), grade=snapshot.grade
        ),
    ]
    changed: tuple[str, ...] = ()
    if snapshot.grade != Grade.HELD:
        rows.append(counter_line(mesh, snapshot, reading.facts, origin.by))
        if book.is_newest:
            changed = change_book(mesh, snapshot, reading.facts, marks.network_key)
        elif is_of_another_key(mesh, snapshot):
            # It landed late, and the key that it holds is no longer in use.
            snapshot.currency = Currency.LOCKED_OUT
    write_family(snapshot, rows, mesh, changed)
    findings = [_finding_row(mesh, snapshot, finding, now) for finding in found]
    if findings:
        Finding.objects.bulk_create(findings)
    return Receipt(Kind.STORED, snapshot=snapshot, findings=tuple(findings))


def _why_another_mesh(
    mesh: Mesh, facts: SnapshotFacts, found: tuple[checking.Finding, ...]
) -> tuple[Problem, ...]:
    """Empty where the document may be this mesh's. Never names the other home: the sender may not know it."""
    if any(finding.code in ANOTHER_MESH for finding in found):
        # Whatever else would stop it is told too: a sender mends all of it at once.
        grave = [finding for finding in found if finding.severity is checking.Severity.STOP]
        return tuple(Problem(finding.path, finding.value, _right_for(mesh, finding)) for finding in grave)
    if facts.extended_pan_id == mesh.extended_pan_id:
        return ()
    if Mesh.objects.filter(extended_pan_id=facts.extended_pan_id).exists():
        right = f"the extended PAN ID of {mesh.code}, which no other mesh in the book has"
        return (Problem("$.identity.extendedPanId", show_eui64(facts.extended_pan_id), right),)
    return ()


def _right_for(mesh: Mesh, found: checking.Finding) -> str:
    """Two addresses side by side say little to people: whose the right one is must be said."""
    return f"{found.expected}, as {mesh.code} has it" if found.code in ANOTHER_MESH else found.expected


def _snapshot(
    book: Known,
    body: bytes,
    reading: Reading,
    marks: Marks,
    found: tuple[checking.Finding, ...],
    now: datetime,
) -> Snapshot:
    facts = reading.facts
    grade, currency = _judge(facts, found, book.limit_hours, now)
    return Snapshot(
        mesh=book.mesh,
        taken_at=facts.taken_at or now,
        received_at=now,
        layout=reading.layout[:60],
        guide=reading.guide,
        writer=facts.writer[:120],
        size_octets=len(body),
        sha256=digests.digest_of_bytes(body).hex(),
        body_mark=marks.body,
        meaning_mark=marks.meaning,
        key_mark=digests.shown_key_mark(marks.network_key),
        key_sequence=facts.key_sequence,
        outgoing_counter=facts.outgoing_counter,
        node_count=len(facts.nodes),
        table_use=_table_use(facts),
        channel=facts.channel,
        pan_id=facts.pan_id,
        grade=grade,
        currency=currency,
    )


def _table_use(facts: SnapshotFacts) -> dict[str, int]:
    """What the document states of the head's tables, and how many devices it lists."""
    stated = {name: used for name, used in asdict(facts.tables).items() if used is not None}
    return {**stated, "devices": len(facts.nodes)}


def _judge(
    facts: SnapshotFacts, found: tuple[checking.Finding, ...], limit_hours: float, now: datetime
) -> tuple[Grade, Currency]:
    """The two axes a copy starts with; the round moves currency on as time passes."""
    if not checking.is_sound(found):
        return Grade.HELD, Currency.UNJUDGED
    grade = Grade.SEEN_LIVE if seen_live(facts) else Grade.SOUND
    age_hours = (now - (facts.taken_at or now)).total_seconds() / 3600
    return grade, Currency.FRESH if age_hours <= limit_hours else Currency.STALE


def _repeated(
    same: int, mesh: Mesh, body: bytes, marks: Marks, data_key: DataKey, origin: Origin, now: datetime
) -> Receipt:
    """The same meaning again: one more arrival; other octets of the same meaning are kept as they came."""
    snapshot = Snapshot.objects.get(pk=same)
    snapshot.mesh = mesh
    known_octets = snapshot.arrivals.filter(body_mark=marks.body).exists()
    arrival = _arrival(snapshot, marks, origin, now)
    arrival.save(force_insert=True)
    if not known_octets:
        put_away(arrival, body, data_key)
    return Receipt(Kind.REPEATED, snapshot=snapshot, findings=tuple(snapshot.findings.all()))


def _arrival(snapshot: Snapshot, marks: Marks, origin: Origin, now: datetime) -> Arrival:
    return Arrival(
        snapshot=snapshot,
        at=now,
        how=origin.how,
        by=origin.by,
        file_name=origin.file_name[:200],
        body_mark=marks.body,
    )


def _finding_row(mesh: Mesh, snapshot: Snapshot, finding: checking.Finding, now: datetime) -> Finding:
    return Finding(mesh=mesh, snapshot=snapshot, code=finding.code, found_at=now, **columns_of(finding))


@transaction.atomic
def _to_tray(mesh: Mesh | None, body: bytes, origin: Origin, now: datetime, refusal: Refusal) -> Receipt:
    """Keep it sealed with the reasons; the same octets again count as one more arrival of the same item."""
    if mesh is not None:
        # Whoever waits here for an erasure to end finds the data key destroyed.
        Mesh.objects.select_for_update().only("pk").get(pk=mesh.pk)
    data_key = data_key_for(mesh, now)
    insist_whole(data_key)
    mark = digests.keyed_digest(keyring.load().digest_key, body)
    item, made = TrayItem.objects.get_or_create(
        mesh=mesh,
        body_mark=mark,
        cleared_at=None,
        defaults={
            "reason": refusal.reason,
            "problems": refusal.lines,
            "received_at": now,
            "how": origin.how,
            "by": origin.by,
            "file_name": origin.file_name[:200],
            "size_octets": len(body),
        },
    )
    if made:
        put_away(item, body, data_key)
        subject = mesh.code if mesh else ""
        why = refusal.reason
        journal.record(origin.by, "document put in the tray", subject, now, item=str(item.uid), reason=why)
    else:
        item.arrivals += 1
        item.save(update_fields=["arrivals"])
    return Receipt(Kind.TRAYED, tray_item=item)
