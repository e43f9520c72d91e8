"""The counter ledger of a mesh's key in use, and the number to write that follows from it."""

from dataclasses import dataclass
from datetime import datetime

from fleet.mesh.counter_ledger import deciding
from fleet.mesh.counters import (
    Evidence,
    EvidenceKind,
    StartValue,
    added_per_day,
    number_to_write,
    rate_lower,
    rate_upper,
)
from fleet.models import Mesh


@dataclass(frozen=True, slots=True)
class CounterPicture:
    """Rates in frames per second (None: too little observed), and the number to write as of a moment."""

    evidence: tuple[Evidence, ...]
    lower: float | None
    upper: float | None
    start: StartValue
    per_day: int


def ledger(mesh: Mesh, key_mark: str, key_sequence: int | None) -> tuple[Evidence, ...]:
    """Every line for the mesh's head address under this key and key sequence, oldest first."""
    lines = mesh.counter_evidence.filter(
        key_mark=key_mark, key_sequence=key_sequence, head_address=mesh.head_address
    )
    return tuple(
        Evidence(value, at, EvidenceKind(kind), landed_at)
        for value, at, kind, landed_at in lines.order_by("at", "id").values_list(
            "value", "at", "kind", "landed_at"
        )
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
