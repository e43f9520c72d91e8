"""Telling people that rounds have stopped. Pages and commands call it as well as jobs: a second route."""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils import translation

from fleet.models import Message, MessageKind
from fleet.planning.messages import letters
from fleet.planning.messages.letters import LastRound
from fleet.queries.readers import readers
from fleet.queries.standings import STOPPED_AFTER, last_round
from fleet.verbs.write_message import Write, hold, put


def tell_of_stop(now: datetime, after: timedelta = STOPPED_AFTER) -> list[Message]:
    """Write to those who get urgent messages that no round has ended for so long, once for each day of it.

    A book whose first round has not ended is new: nobody is told.
    """
    last = last_round(now)
    if last.ended_at is None or now - last.ended_at <= after:
        return []
    days = (now - last.ended_at) // timedelta(days=1)
    written = []
    for reader in readers(now.date()):
        if reader.wishes.urgent:
            key = f"stopped {reader.person.pk} {last.ended_at:%Y%m%dT%H%M%S} {days}"
            facts = {"ended_at": last.ended_at.isoformat()}
            with transaction.atomic():
                hold(reader.person)
                written += put(reader, MessageKind.STOPPED, key, facts, now, _of_stop(last, now))
    return written


def _of_stop(last: LastRound, now: datetime) -> Write:
    return lambda desk: letters.rounds_stopped(last, now, desk, translation)
