"""Changing the key that wraps the data keys: a new one in the ring, every data key wrapped anew, the old one dropped.

It may be killed anywhere. The new key is in the ring file before any row needs it, each row is changed alone, and
the old key leaves the ring only when nothing is wrapped by it: run it again and it goes on with what is left. No
document is sealed anew, as data keys stay the same.

From then on an older copy of the database opens only with a copy of the ring from its own time. That is what makes
an erasure hold (see verbs.erase).
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db import connection, transaction
from django.db.models import QuerySet

from fleet import keyring
from fleet.models import DataKey, Erasure
from fleet.queries.sealed import plain_data_key
from fleet.snapshots import sealing
from fleet.verbs import journal

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Renewal:
    """The active ring key, whether this run made it, how many data keys it wrapped anew, and which keys it dropped."""

    ring_key: str
    made: bool
    wrapped: int
    dropped: tuple[str, ...]


def renew(by: str, now: datetime, progress: Progress | None = None) -> Renewal:
    """Begin a renewal, or finish one that was broken off.

    Raises SealError where a data key does not unwrap, KeyRingError where the ring lacks the key that wrapped one, or
    another process is renewing it.
    """
    with keyring.held():
        return _renew(by, now, progress)


def _renew(by: str, now: datetime, progress: Progress | None) -> Renewal:
    ring = keyring.load()
    unfinished = len(ring.wrapping) > 1
    if not unfinished:
        ring = keyring.add_key()
    wrapped = 0
    # A data key that somebody made meanwhile may still be under an old ring key: then another pass.
    while not _dropped(ring, now):
        wrapped += _pass(ring, progress)
    dropped = tuple(sorted(ring.wrapping.keys() - {ring.active}))
    journal.record(by, "key ring renewed", "", now, ring_key=ring.active, data_keys=wrapped, dropped=dropped)
    return Renewal(ring.active, not unfinished, wrapped, dropped)


def _pass(ring: keyring.KeyRing, progress: Progress | None) -> int:
    total, done = _left(ring).count(), 0
    for done, row in enumerate(_rows(ring), 1):
        _wrap_anew(row, ring)
        if progress:
            progress(done, max(total, done))
    return done


@transaction.atomic
def _dropped(ring: keyring.KeyRing, now: datetime) -> bool:
    """Take the old keys out of the ring, unless a data key still needs one."""
    if connection.vendor == "postgresql":
        # Whoever is making a data key finishes first; who comes later looks into the ring after us (see verbs.seal).
        with connection.cursor() as cursor:
            cursor.execute(f'LOCK TABLE "{DataKey._meta.db_table}" IN SHARE ROW EXCLUSIVE MODE')
    if _left(ring).exists():
        return False
    names = keyring.drop_old_keys().wrapping
    for erasure in Erasure.objects.filter(ring_renewed_at=None):
        if not set(erasure.ring_keys) & names.keys():
            Erasure.objects.filter(pk=erasure.pk).update(ring_renewed_at=now)
    return True


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
    row.wrapped = sealing.wrap(ring.wrapping_key(ring.active), plain_data_key(row))
    row.ring_key = ring.active
    row.save(update_fields=["wrapped", "ring_key"])
