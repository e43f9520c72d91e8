"""Writing a data key whose row has one flipped bit anew: without it nothing of its client would open."""

from datetime import datetime

from django.db import transaction

from fleet.models import DataKey
from fleet.queries.sealed import mended, unwrapped
from fleet.snapshots.sealing import SealError
from fleet.verbs import journal


@transaction.atomic
def mend_keys(by: str, now: datetime) -> list[str]:
    """The names of those mended. One with more damage than a bit stays as it is. Raises KeyRingError."""
    done = []
    for row in DataKey.objects.select_for_update(of=("self",)).select_related("client").exclude(wrapped=None):
        if _is_whole(row):
            continue
        try:
            mended(row).save(update_fields=["wrapped"])
        except SealError:
            continue
        done.append(f"data key of {row.client or 'the book'}")
    if done:
        journal.record(by, "data keys mended", "", now, count=len(done))
    return done


def _is_whole(row: DataKey) -> bool:
    try:
        unwrapped(row)
    except SealError:
        return False
    return True
