"""Writing down numbers that were given out, so that the next is always higher."""

from datetime import datetime

from fleet.models import CounterEvidence, EvidenceKind, Mesh, Snapshot


def note_number(
    mesh: Mesh,
    copy: Snapshot,
    value: int,
    by: str,
    now: datetime,
    kind: EvidenceKind = EvidenceKind.RESTORE,
) -> None:
    """Put a number that was given out into the counter ledger, under the key of the copy it goes with.

    For a drill it is the last number of its range.
    """
    CounterEvidence.objects.create(
        mesh=mesh,
        key_mark=copy.key_mark,
        key_sequence=copy.key_sequence,
        head_address=mesh.head_address,
        value=value,
        at=now,
        landed_at=now,
        kind=kind,
        snapshot=copy,
        by=by,
    )
