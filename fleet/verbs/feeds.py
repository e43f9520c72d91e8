"""The address of a technician's calendar, made and ended, and what the calendar told.

The token is 256 random bits, shown once and stored as a digest only. Calendar programs of phones can send no header and
no body: alone of all the book's secrets this one stands in an address, behind the "?", where neither Django's log nor
a page of errors writes it (both keep to the path), and `fleet.config.unlogged` takes it out of the access log. Answers
forbid to store them and to pass their address on (Referrer-Policy). What it opens says when and at which home code
somebody works, and nothing that opens a door. A proxy in front of the book must not log the query of this path.
"""

import secrets
from datetime import datetime, timedelta

from django.db import transaction

from fleet.models import FeedEvent, FeedToken
from fleet.planning.visits.feed import Event, carried_on
from fleet.queries.feeds import as_event, planned_events, told
from fleet.verbs import journal
from fleet.verbs.push_tokens import digest_of
from sites.models import Person

KEY = "key"
"""What stands before the secret in an address: /calendar.ics?key=..."""
USE_NOTED_EVERY = timedelta(hours=1)


@transaction.atomic
def make(person: Person, by: str, now: datetime) -> tuple[FeedToken, str]:
    """A new token for this person's calendar; one that was good until now ends. The text is given back once."""
    held = Person.objects.select_for_update().get(pk=person.pk)
    ended = FeedToken.objects.filter(person=held, revoked_at=None).update(revoked_at=now, revoked_by=by[:120])
    text = secrets.token_urlsafe(32)
    row = FeedToken.objects.create(person=held, digest=digest_of(text), made_at=now, made_by=by[:120])
    what = "calendar address renewed" if ended else "calendar address made"
    journal.record(by, what, "", now, person=held.username)
    return row, text


@transaction.atomic
def revoke(person: Person, by: str, now: datetime) -> None:
    """End this person's calendar address at once; a second call changes nothing."""
    held = Person.objects.select_for_update().get(pk=person.pk)
    if FeedToken.objects.filter(person=held, revoked_at=None).update(revoked_at=now, revoked_by=by[:120]):
        journal.record(by, "calendar address ended", "", now, person=held.username)


def note_use(token: FeedToken, now: datetime) -> None:
    """Remember the last use, at most once an hour: phones ask all day."""
    if token.last_used_at is None or now - token.last_used_at > USE_NOTED_EVERY:
        FeedToken.objects.filter(pk=token.pk).update(last_used_at=now)


def carry_on(person: Person, since: datetime, now: datetime) -> list[FeedEvent]:
    """Bring what the calendar tells up to the plans in force, and give back its rows from `since` on.

    An event that says something else gets a higher sequence, one that is gone stays, cancelled. What is over at `now`
    is history and stays as it was told. Where nothing changed, nothing is written or locked. It needs no journal line:
    the plan that changed it has one.
    """
    if _changes(person, now):
        with transaction.atomic():
            Person.objects.select_for_update().get(pk=person.pk)
            # Looked at again under the lock: two phones of one person may ask in the same moment.
            for row, event in _changes(person, now):
                _write(row or _known(person, event), event, now)
    return told(person, since)


def _changes(person: Person, now: datetime) -> list[tuple[FeedEvent | None, Event]]:
    """What must be told otherwise, each with its row where it has one that is not over."""
    before = {str(row.uid): row for row in told(person, now)}
    known = {uid: as_event(row) for uid, row in before.items()}
    following = carried_on(known.values(), planned_events(person, now))
    return [(before.get(event.uid), event) for event in following if known.get(event.uid) != event]


def _known(person: Person, event: Event) -> FeedEvent:
    """A new row, or that of a visit that was over and comes again: its sequence goes on."""
    row = FeedEvent.objects.filter(person=person, uid=event.uid).first()
    if row is None:
        return FeedEvent(person=person, uid=event.uid, sequence=0)
    row.sequence += 1
    return row


def _write(row: FeedEvent, event: Event, now: datetime) -> None:
    row.sequence = max(row.sequence, event.sequence)
    row.home, row.work, row.zone = event.home, list(event.work), event.zone.key
    row.begin_at, row.end_at = event.begin, event.end
    row.with_whom, row.cancelled = event.with_whom or "", event.cancelled
    row.changed_at = now
    row.save()
