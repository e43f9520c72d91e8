"""Changing the key that wraps the data keys: a new one in the ring, then every data key wrapped anew.

It may be killed anywhere. The new key is in the ring file before any row needs it, each row is changed alone, and
the old key stays in the ring: run it again and it goes on with the rows that are left. No document is sealed anew,
as data keys stay the same.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet

from fleet import keyring
from fleet.models import DataKey
from fleet.snapshots import sealing
from fleet.verbs import journal

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Renewal:
    """The active ring key, whether this run made it, and how many data keys it wrapped anew."""

    ring_key: str
    made: bool
    wrapped: int


def renew(by: str, now: datetime, progress: Progress | None = None) -> Renewal:
    """Begin a renewal, or finish one that was broken off. Raises SealError where a data key does not unwrap."""
    ring = keyring.load()
    unfinished = _left(ring).exists()
    if not unfinished:
        ring = keyring.add_key()
    total = _left(ring).count()
    wrapped = 0
    for row in _rows(ring):
        _wrap_anew(row, ring)
        wrapped += 1
        if progress:
            progress(wrapped, total)
    journal.record(by, "key ring renewed", "", now, ring_key=ring.active, data_keys=wrapped)
    return Renewal(ring.active, not unfinished, wrapped)


def _left(ring: keyring.KeyRing) -> QuerySet[DataKey]:
    return DataKey.objects.filter(destroyed_at=None).exclude(ring_key=ring.active)


def _rows(ring: keyring.KeyRing) -> Iterator[DataKey]:
    while row := _left(ring).order_by("pk").first():
        yield row


@transaction.atomic
def _wrap_anew(row: DataKey, ring: keyring.KeyRing) -> None:
    row = DataKey.objects.select_for_update().get(pk=row.pk)
    if row.wrapped is None:
        return
    plain = sealing.unwrap(ring.wrapping_key(row.ring_key), bytes(row.wrapped))
    row.wrapped = sealing.wrap(ring.wrapping_key(ring.active), plain)
    row.ring_key = ring.active
    row.save(update_fields=["wrapped", "ring_key"])
