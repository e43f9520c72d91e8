"""Events: made once from the rows that say what happened, and delivered until each is taken or dead.

Of one home a receiver gets events one after the other: the next goes only when the one before was taken, or is dead.
A receiver that is not there rests, longer each time; an event that it refuses holds up only its home. A try that
was cut off between the receiver's yes and our mark comes again under the same id, as the specification has it.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import random

from django.db import transaction
from django.db.models import Exists, F, OuterRef, Q

from fleet.keyring import KeyRingError
from fleet.models import Delivery, Event, Receiver
from fleet.planning import events
from fleet.planning.retries import wait
from fleet.queries.receivers import AT_ONCE, SLACK, WAITING, heads, secret_of, untold
from fleet.snapshots.sealing import SealError
from fleet.verbs.call_out import NoAnswer, call_out

log = logging.getLogger(__name__)

Clock = Callable[[], datetime]

CLAIM = timedelta(minutes=2)
DEAD_AFTER = timedelta(days=3)
KEPT_FOR = timedelta(days=30)
A_WHILE = timedelta(seconds=40)
HEADS_AT_ONCE = 100
OVERLOADED = 429
ANSWERS_THAT_TAKE = range(200, 300)


@dataclass(frozen=True, slots=True)
class Delivered:
    """How many were taken, and how many tries failed."""

    taken: int
    failed: int


def gather(now: datetime) -> int:
    """Make an event of everything that happened and is not told yet, with a delivery for each receiver."""
    made = 0
    while (batch := _gather(now)) == AT_ONCE:
        made += batch
    return made + batch


@transaction.atomic
def _gather(now: datetime) -> int:
    # Two at once queue up here: the second finds the events of the first.
    receivers = list(Receiver.objects.select_for_update().filter(ended_at=None).order_by("pk"))
    if not receivers:
        return 0
    found = untold(receivers)[:AT_ONCE]
    for each in found:
        event = Event.objects.create(
            kind=each.happening.kind,
            home=each.happening.home,
            at=each.at,
            data=each.happening.data,
            line=each.line,
            change=each.change,
        )
        wanting = [receiver for receiver in receivers if _wants(receiver, event)]
        Delivery.objects.bulk_create(
            Delivery(event=event, receiver=receiver, home=event.home, made_at=now, due_at=now)
            for receiver in wanting
        )
    return len(found)


def _wants(receiver: Receiver, event: Event) -> bool:
    if receiver.kinds and event.kind not in receiver.kinds:
        return False
    if event.line_id is not None:
        return event.line_id > receiver.since_line
    return event.change_id is not None and event.change_id > receiver.since_change


def deliver_due(clock: Clock) -> Delivered:
    """Deliver what is due to every receiver that does not rest, for a while; the rest waits for the next call."""
    taken = failed = 0
    until = clock() + A_WHILE
    now = clock()
    awake = Q(rests_until=None) | Q(rests_until__lte=now)
    for receiver in Receiver.objects.filter(awake, active=True, ended_at=None).select_related("data_key"):
        some = _deliver_to(receiver, clock, until)
        taken, failed = taken + some.taken, failed + some.failed
    return Delivered(taken, failed)


def _deliver_to(receiver: Receiver, clock: Clock, until: datetime) -> Delivered:
    taken = failed = 0
    while found := list(heads(receiver, clock())[:HEADS_AT_ONCE]):
        for delivery in found:
            if clock() >= until:
                return Delivered(taken, failed)
            if not _claim(delivery, clock()):
                continue
            error, is_down = _send(receiver, delivery.event, clock())
            _mark(delivery, error, clock())
            taken, failed = taken + (not error), failed + bool(error)
            _note(receiver, is_down, clock())
            if is_down:
                return Delivered(taken, failed)
    return Delivered(taken, failed)


def _claim(delivery: Delivery, now: datetime) -> bool:
    free = Q(held_until=None) | Q(held_until__lt=now)
    mine = Delivery.objects.filter(free, pk=delivery.pk, delivered_at=None, dead_at=None)
    return bool(mine.update(held_until=now + CLAIM, tries=F("tries") + 1))


def _send(receiver: Receiver, event: Event, now: datetime) -> tuple[str, bool]:
    """What went wrong, empty for nothing, and whether nobody was there at all."""
    content = events.body(event.kind, event.at, event.data)
    try:
        headers = events.headers(str(event.uid), now, content, secret_of(receiver))
        status = call_out("POST", receiver.address, headers, content)
    except NoAnswer as error:
        return str(error), True
    except (SealError, KeyRingError) as error:
        return f"The secret cannot be opened: {error}", True
    if status in ANSWERS_THAT_TAKE:
        return "", False
    return f"The receiver answered {status}.", status >= 500 or status == OVERLOADED


def _mark(delivery: Delivery, error: str, now: datetime) -> None:
    row = Delivery.objects.filter(pk=delivery.pk)
    if not error:
        row.update(delivered_at=now, held_until=None, last_error="")
    elif now - delivery.made_at > DEAD_AFTER:
        row.update(dead_at=now, held_until=None, last_error=error[:200])
    else:
        due_at = now + wait(delivery.tries + 1, random())
        row.update(due_at=due_at, held_until=None, last_error=error[:200])


def _note(receiver: Receiver, is_down: bool, now: datetime) -> None:
    """A receiver that is down rests, and what it has missed for too long is dead; one that answers is awake."""
    if not is_down:
        if receiver.misses:
            receiver.misses, receiver.rests_until = 0, None
            receiver.save(update_fields=["misses", "rests_until"])
        return
    receiver.misses = min(receiver.misses + 1, 1000)
    receiver.rests_until = now + wait(receiver.misses, random())
    receiver.save(update_fields=["misses", "rests_until"])
    log.info("receiver %s is not there, for the %s. time", receiver.uid, receiver.misses)
    waited = receiver.deliveries.filter(delivered_at=None, dead_at=None, made_at__lt=now - DEAD_AFTER)
    waited.update(dead_at=now, last_error="Nobody took it for three days.")


def forget(now: datetime) -> int:
    """Drop events that are over for thirty days. Those near the newest stay: they say what was told already."""
    newest = Event.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    waiting = Delivery.objects.filter(WAITING, event=OuterRef("pk"))
    old = Event.objects.filter(~Exists(waiting), at__lt=now - KEPT_FOR, pk__lt=newest - 2 * SLACK)
    return old.delete()[0]
