"""Who receives events: added with a secret that is shown once, paused, ended."""

import os
from datetime import datetime

from django.db import transaction
from django.db.models import Max

from fleet.models import Delivery, JournalEntry, ReadinessChange, Receiver
from fleet.planning.events import SECRET_OCTETS, Kind
from fleet.queries.receivers import place_of_secret
from fleet.queries.sealed import plain_data_key
from fleet.snapshots import sealing
from fleet.verbs import journal
from fleet.verbs.seal import NONCE_OCTETS, data_key_for


@transaction.atomic
def add(label: str, address: str, kinds: list[Kind], by: str, now: datetime) -> tuple[Receiver, bytes]:
    """A receiver of what happens from now on, and its secret, which is returned once. No kinds: all of them.

    Raises KeyRingError or SealError where nothing can be sealed.
    """
    secret = os.urandom(SECRET_OCTETS)
    row = Receiver(
        label=label,
        address=address,
        kinds=[kind.value for kind in kinds],
        data_key=data_key_for(None, now),
        since_line=JournalEntry.objects.aggregate(last=Max("pk"))["last"] or 0,
        since_change=ReadinessChange.objects.aggregate(last=Max("pk"))["last"] or 0,
        made_at=now,
        made_by=by,
    )
    key = plain_data_key(row.data_key)
    row.sealed_secret = sealing.seal(key, secret, place_of_secret(row), os.urandom(NONCE_OCTETS))
    row.save()
    journal.record(by, "receiver of events added", "", now, label=label, kinds=row.kinds)
    return row, secret


@transaction.atomic
def pause(receiver: Receiver, by: str, now: datetime) -> None:
    """Send nothing for a while; events wait, as long as they would for a receiver that is down."""
    if Receiver.objects.filter(pk=receiver.pk, active=True).update(active=False):
        journal.record(by, "receiver of events paused", "", now, label=receiver.label)


@transaction.atomic
def resume(receiver: Receiver, by: str, now: datetime) -> None:
    """Send again, at once and with no memory of earlier misses."""
    row = Receiver.objects.filter(pk=receiver.pk, ended_at=None)
    if row.update(active=True, rests_until=None, misses=0):
        journal.record(by, "receiver of events resumed", "", now, label=receiver.label)


@transaction.atomic
def end(receiver: Receiver, by: str, now: datetime) -> None:
    """Tell it nothing more; what waits is dead."""
    if Receiver.objects.filter(pk=receiver.pk, ended_at=None).update(active=False, ended_at=now):
        receiver.deliveries.filter(delivered_at=None, dead_at=None).update(
            dead_at=now, last_error="The receiver was ended."
        )
        journal.record(by, "receiver of events ended", "", now, label=receiver.label)


@transaction.atomic
def revive(delivery: Delivery, by: str, now: datetime) -> None:
    """Put a dead delivery back in line for another three days, before what waits of the same home."""
    row = Delivery.objects.filter(pk=delivery.pk, delivered_at=None, dead_at__isnull=False)
    if row.filter(receiver__ended_at=None).update(dead_at=None, made_at=now, due_at=now, tries=0):
        journal.record(by, "event put back in line", delivery.home, now, event=str(delivery.event.uid))
