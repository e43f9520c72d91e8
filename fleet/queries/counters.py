"""The counter ledger of a mesh's key in use, and the number to write that follows from it."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from fleet.mesh.counter_ledger import deciding
from fleet.mesh.counters import (
    UNKNOWN_RATE,
    Evidence,
    EvidenceKind,
    ExhaustionRange,
    StartValue,
    added_per_day,
    days_spent,
    exhaustion_range,
    highest_use,
    number_to_write,
    rate_lower,
    rate_upper,
)
from fleet.models import CounterEvidence, Mesh


@dataclass(frozen=True, slots=True)
class CounterPicture:
    """Rates in frames per second (None: too little observed), and the number to write as of a moment."""

    evidence: tuple[Evidence, ...]
    lower: float | None
    upper: float | None
    start: StartValue
    per_day: int


def lines_under(mesh: Mesh, key_mark: str, key_sequence: int | None) -> QuerySet[CounterEvidence]:
    """The rows for the mesh's head address under this key and key sequence."""
    return mesh.counter_evidence.filter(
        key_mark=key_mark, key_sequence=key_sequence, head_address=mesh.head_address
    )


def ledger(mesh: Mesh, key_mark: str, key_sequence: int | None) -> tuple[Evidence, ...]:
    """Every line under this key and key sequence, oldest first."""
    lines = lines_under(mesh, key_mark, key_sequence).order_by("at", "id")
    return tuple(
        Evidence(value, at, EvidenceKind(kind), landed_at)
        for value, at, kind, landed_at in lines.values_list("value", "at", "kind", "landed_at")
    )


def counter_picture(
    mesh: Mesh, at: datetime, *, key_mark: str | None = None, key_sequence: int | None = None
) -> CounterPicture | None:
    """What the ledger says as of that moment, of the key in use or of the one named; None where it has no line."""
    if key_mark is None:
        key_mark, key_sequence = mesh.key_mark, mesh.key_sequence
    evidence = ledger(mesh, key_mark, key_sequence)
    if not evidence:
        return None
    upper = rate_upper(evidence)
    start = number_to_write(deciding(evidence), at, upper)
    return CounterPicture(evidence, rate_lower(evidence), upper, start, added_per_day(upper))


@dataclass(frozen=True, slots=True)
class Lasting:
    """How long the counters last as things stand. rate_known: False where 50 frames a second are taken.

    standing is where the counter may be by now, days_spent by how much writing the number brings the end nearer.
    """

    dates: ExhaustionRange
    standing: int
    days_spent: float | None
    rate_known: bool


def lasting(picture: CounterPicture, at: datetime) -> Lasting:
    """From the observed rates, 95th percentile for the earliest date and 5th for the latest (C2)."""
    upper = UNKNOWN_RATE if picture.upper is None else picture.upper
    lower = upper if picture.lower is None else min(picture.lower, upper)
    standing = highest_use(deciding(picture.evidence), at, picture.upper)
    return Lasting(
        dates=exhaustion_range(standing, at, lower, upper),
        standing=standing,
        days_spent=days_spent(picture.start.value, standing, upper),
        rate_known=picture.upper is not None,
    )
