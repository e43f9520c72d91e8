"""Whether a copy can be given out today, ready to restore, and what speaks against it. Nothing here changes a row."""

from dataclasses import dataclass, field
from datetime import datetime

from fleet.keyring import KeyRingError
from fleet.mesh.counter_ledger import deciding
from fleet.mesh.counters import CounterError, StartValue
from fleet.mesh.drill_range import DrillRange, drill_range
from fleet.models import (
    CounterEvidence,
    Currency,
    Custody,
    EvidenceKind,
    Grade,
    JournalEntry,
    Mesh,
    Radio,
    RadioState,
    SealedBody,
    Snapshot,
)
from fleet.queries.counters import CounterPicture, counter_picture
from fleet.queries.layouts import guide_of
from fleet.queries.sealed import Erased, open_body
from fleet.snapshots.advancing import advance
from fleet.snapshots.decoding import ReadError
from fleet.snapshots.findings import Severity
from fleet.snapshots.packing import PackError
from fleet.snapshots.sealing import SealError
from fleet.snapshots.writing_back import WriteBackError

GIVEN_OUT = "restore document given out"
"""What the journal calls it."""
NOT_AT_HAND = (RadioState.SCRAPPED, RadioState.MISSING)


class GrantRefused(Exception):
    """The document is not given; the sentence says why and what would be right."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A copy with its counters put forward to start. The document leaves the book by the verb only."""

    start: StartValue
    document: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class DrillOffer:
    """A copy with its counters put forward to the first number of a drill's own range."""

    numbers: DrillRange
    document: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class GivenOut:
    """A number that was given out: when, by whom, and as far as the journal says for which radio, why, with whom."""

    value: int
    at: datetime
    by: str
    radio: str
    reason: str
    second: str


def insist_on_copy(mesh: Mesh, copy: Snapshot | None) -> Snapshot:
    """The copy, where it is one that the book still holds. Raises GrantRefused."""
    erased_at = mesh.site.client.erased_at
    if erased_at is not None:
        raise GrantRefused(
            f"{mesh.code} was erased with its client on {erased_at:%Y-%m-%d}; no copy of it is left."
        )
    if copy is None:
        raise GrantRefused(f"{mesh.code} has no snapshot that can be restored. Take one and send it in.")
    if copy.mesh_id != mesh.pk:
        raise GrantRefused(f"snapshot: that copy is not one of {mesh.code}.")
    if copy.custody == Custody.GONE:
        raise GrantRefused(f"snapshot: the copy of {copy.taken_at:%Y-%m-%d %H:%M} UTC was erased.")
    return copy


def offer_of(mesh: Mesh, copy: Snapshot, now: datetime) -> Offer:
    """What would be given out of this copy at this moment. Raises GrantRefused."""
    start = _start_value(mesh, copy, now)
    return Offer(start, _advanced(copy, _opened(copy), start.value))


def drill_offer_of(mesh: Mesh, copy: Snapshot, now: datetime) -> DrillOffer:
    """The same for a drill, with numbers that the live mesh does not come to while it lasts. Raises GrantRefused."""
    picture = _picture(mesh, copy, now)
    try:
        numbers = drill_range(deciding(picture.evidence), now, picture.upper)
    except CounterError as error:
        raise GrantRefused(f"No range of numbers is left for a drill: {error}.") from None
    return DrillOffer(numbers, _advanced(copy, _opened(copy), numbers.first))


def doubts_about(copy: Snapshot) -> tuple[str, ...]:
    """Why one person may not take this copy alone, in sentences; empty where they may."""
    doubts = []
    if copy.grade in (Grade.LANDED, Grade.HELD):
        doubts.append("It is held: a finding says that it must not count as a sound copy.")
    if copy.currency == Currency.STALE:
        doubts.append("It is stale: devices may have joined since.")
    if copy.currency == Currency.LOCKED_OUT:
        doubts.append("It is locked out: the network key was changed since.")
    found = copy.findings.filter(severity__in=(Severity.DOUBT.value, Severity.STOP.value))
    doubts += [finding.message for finding in found]
    return tuple(doubts)


def insist_on_radio(mesh: Mesh, radio: Radio) -> None:
    """One identity, one voice: raises GrantRefused for a radio that leads another mesh, or is not at hand."""
    elsewhere = radio.periods.filter(until=None).exclude(mesh=mesh).select_related("mesh").first()
    if elsewhere is not None:
        raise GrantRefused(
            f"radio: {radio.code} leads {elsewhere.mesh.code}; choose one that leads no other mesh."
        )
    if radio.state in NOT_AT_HAND:
        raise GrantRefused(
            f"radio: {radio.code} is {radio.get_state_display().lower()}; choose one that is at hand."
        )


def given_out(mesh: Mesh, most: int) -> list[GivenOut]:
    """The last numbers of this mesh that left the book, newest first: from the ledger, the rest from the journal."""
    lines = mesh.counter_evidence.filter(kind=EvidenceKind.RESTORE).order_by("-at", "-id")[:most]
    told = JournalEntry.objects.filter(subject=mesh.code, what=GIVEN_OUT)[: 4 * most]
    details = {entry.details.get("counter"): entry.details for entry in told}
    return [_given(line, details.get(line.value, {})) for line in lines]


def _given(line: CounterEvidence, details: dict[str, str]) -> GivenOut:
    told = {name: details.get(name, "") for name in ("radio", "reason", "second")}
    return GivenOut(line.value, line.at, line.by, **told)


def _picture(mesh: Mesh, copy: Snapshot, now: datetime) -> CounterPicture:
    picture = counter_picture(mesh, now, key_mark=copy.key_mark, key_sequence=copy.key_sequence)
    if picture is None:
        raise GrantRefused(
            "The counter ledger has no line for the key of this copy; no safe number can be given."
        )
    return picture


def _start_value(mesh: Mesh, copy: Snapshot, now: datetime) -> StartValue:
    picture = _picture(mesh, copy, now)
    try:
        picture.start.writable()
    except CounterError as error:
        raise GrantRefused(f"{error}: {'; '.join(picture.start.because)}.") from None
    return picture.start


def _opened(copy: Snapshot) -> bytes:
    try:
        return open_body(copy.sealed_body)
    except Erased as error:
        raise GrantRefused(str(error)) from None
    except SealedBody.DoesNotExist:
        wrong = "its octets are not in the book"
    except (SealError, PackError, KeyRingError) as error:
        wrong = str(error).rstrip(".")
    raise GrantRefused(
        f"The copy does not open: {wrong}. Choose another, or put back a copy of the database."
    )


def _advanced(copy: Snapshot, body: bytes, start: int) -> bytes:
    guide = guide_of(copy.guide) if copy.guide else None
    try:
        return advance(body, guide, start)
    except (WriteBackError, ReadError) as error:
        wrong = str(error).rstrip(".")
        raise GrantRefused(f"The number cannot be put into this document: {wrong}.") from None
