"""Who receives events, what waits for them, and which happenings nobody was told of yet."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import NamedTuple

from django.db.models import Count, Exists, Max, OuterRef, Q, QuerySet

from fleet.models import Delivery, Event, JournalEntry, ReadinessChange, Receiver
from fleet.planning.events import TOLD_ACTS, Happening, of_act, of_readiness
from fleet.queries.sealed import plain_data_key
from fleet.snapshots import sealing

# Rows get their numbers before they are visible: look this far back for one that came late.
SLACK = 10_000
AT_ONCE = 1000
OF_LATE = timedelta(days=7)
WAITING = Q(delivered_at=None, dead_at=None)


class Untold(NamedTuple):
    """A happening with the one row that says so."""

    at: datetime
    happening: Happening
    line: JournalEntry | None
    change: ReadinessChange | None


def place_of_secret(receiver: Receiver) -> bytes:
    """The associated data that binds a sealed secret to its receiver."""
    return sealing.associated_data("receiver", str(receiver.data_key.uid), str(receiver.uid))


def secret_of(receiver: Receiver) -> bytes:
    """The octets that sign; SealError or KeyRingError where they cannot be opened."""
    key = plain_data_key(receiver.data_key)
    return sealing.open_sealed(key, bytes(receiver.sealed_secret), place_of_secret(receiver))


def untold(receivers: list[Receiver]) -> list[Untold]:
    """What happened since the first of these receivers was added and has no event yet, oldest first."""
    told = Event.objects.aggregate(line=Max("line"), change=Max("change"))
    after_line = max(min(each.since_line for each in receivers), (told["line"] or 0) - SLACK)
    after_change = max(min(each.since_change for each in receivers), (told["change"] or 0) - SLACK)
    lines = JournalEntry.objects.filter(pk__gt=after_line, what__in=TOLD_ACTS)
    lines = lines.exclude(Exists(Event.objects.filter(line=OuterRef("pk"))))
    changes = ReadinessChange.objects.filter(pk__gt=after_change).select_related("mesh")
    changes = changes.exclude(Exists(Event.objects.filter(change=OuterRef("pk"))))
    return list(_merged(list(lines.order_by("pk")[:AT_ONCE]), list(changes.order_by("pk")[:AT_ONCE])))


def _merged(lines: list[JournalEntry], changes: list[ReadinessChange]) -> Iterator[Untold]:
    """Both in the order of their moments; where one list was cut off, nothing that lies after the cut."""
    found = [Untold(row.at, of_act(row.what, row.subject, row.details), row, None) for row in lines]
    found += [
        Untold(row.at, of_readiness(row.mesh.code, row.was, row.became, row.gate), None, row)
        for row in changes
    ]
    cuts = [rows[-1].at for rows in (lines, changes) if len(rows) == AT_ONCE]
    last = min(cuts, default=None)
    # Sorting keeps rows of one moment as they stand: what the journal says comes before what it led to.
    for each in sorted(found, key=lambda each: each.at):
        if last is None or each.at <= last:
            yield each


def heads(receiver: Receiver, now: datetime) -> QuerySet[Delivery]:
    """Deliveries that may go now: due, held by nobody, and of each home only the oldest that waits."""
    waiting = receiver.deliveries.filter(WAITING)
    earlier = Delivery.objects.filter(
        WAITING, receiver=receiver, home=OuterRef("home"), event__lt=OuterRef("event")
    )
    free = Q(held_until=None) | Q(held_until__lt=now)
    return (
        waiting.filter(free, ~Exists(earlier), due_at__lte=now).select_related("event").order_by("event_id")
    )


def receivers_shown(now: datetime) -> QuerySet[Receiver]:
    """Those that were not ended, with how many events wait, and how many were given up of late."""
    return Receiver.objects.filter(ended_at=None).annotate(
        waiting=Count("deliveries", filter=Q(deliveries__delivered_at=None, deliveries__dead_at=None)),
        dead=Count("deliveries", filter=Q(deliveries__dead_at__gte=now - OF_LATE)),
    )
