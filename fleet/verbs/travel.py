"""Putting a travel matrix in force, and ending it."""

from datetime import datetime
from hashlib import sha256

from django.db import IntegrityError, transaction

from fleet.models import TravelMatrix
from fleet.planning.visits.reading_matrix import written
from fleet.queries.travel import look_at, matrix_in_force
from fleet.verbs import journal


class TravelRefused(Exception):
    """Nothing was written; the sentence says why."""


def use(octets: bytes, seen: TravelMatrix | None, by: str, now: datetime) -> TravelMatrix:
    """Put the matrix of this file in force in place of the one that was. seen: the one in force when it was looked at.

    Raises MatrixError with every fault of the file, TravelRefused where somebody else was faster.
    """
    look = look_at(octets)
    try:
        with transaction.atomic():
            before = _locked_in_force(seen)
            if before is not None:
                _end(before, by, now)
            row = TravelMatrix.objects.create(
                text=written(look.matrix),
                sha256=sha256(octets).hexdigest(),
                ways=look.ways,
                bands=len(look.slow),
                made_at=now,
                made_by=by[:120],
            )
            journal.record(
                by, "travel matrix put in force", "", now, ways=row.ways, bands=row.bands, sha256=row.sha256
            )
    except IntegrityError:
        raise TravelRefused(OTHER_WAS_FASTER) from None
    return row


@transaction.atomic
def end(seen: TravelMatrix, by: str, now: datetime) -> None:
    """Plans drive by great circles again. Raises TravelRefused where another is in force by now."""
    row = _locked_in_force(seen)
    if row is not None:
        _end(row, by, now)
        journal.record(by, "travel matrix ended", "", now, ways=row.ways, sha256=row.sha256)


OTHER_WAS_FASTER = "Somebody has changed the travel minutes meanwhile; look at them again, then decide."


def _locked_in_force(seen: TravelMatrix | None) -> TravelMatrix | None:
    row = matrix_in_force()
    if row is not None:
        row = TravelMatrix.objects.select_for_update().filter(pk=row.pk, ended_at=None).first()
    if (row.pk if row else None) != (seen.pk if seen else None):
        raise TravelRefused(OTHER_WAS_FASTER)
    return row


def _end(row: TravelMatrix, by: str, now: datetime) -> None:
    row.ended_at, row.ended_by = now, by[:120]
    row.save(update_fields=["ended_at", "ended_by"])
