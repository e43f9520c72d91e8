"""Sending what waits in the outbox, through whichever of Django's mail back ends the settings name.

A message is claimed, sent, and marked. The claim is one conditional update, so that of two senders one has it. A
sender that dies between the mail server's yes and the mark leaves a claim that lapses: the message then goes out
once more, under the same Message-ID (RFC 5322, section 3.6.4), by which the repeat can be recognised. Nothing
that SMTP offers closes that gap.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from email.utils import format_datetime, parseaddr
from random import random
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction
from django.db.models import F, Q

from fleet.models import Message
from fleet.planning.retries import wait
from fleet.verbs import journal

log = logging.getLogger(__name__)

Clock = Callable[[], datetime]

# Longer than a mail server may take to answer (EMAIL_TIMEOUT) several times over.
CLAIM = timedelta(minutes=10)
# Doubling up to an hour apart: about two days.
MOST_TRIES = 50
AT_ONCE = 200


class NeverSend(Exception):
    """Raised where a mail is made: this row must not go out any more, now or later; the sentence says why."""


@dataclass(frozen=True, slots=True)
class Sent:
    """How many went out, and how many failed and will be tried again or were given up."""

    sent: int
    failed: int


def send_due(clock: Clock) -> Sent:
    """Send every message that is due, the oldest first. After a failure to connect the rest is left for later."""
    return send_waiting(Message, _mail, clock)


def send_waiting(rows: type[Any], mail_of: Callable[[Any], EmailMessage], clock: Clock) -> Sent:
    """The same for any rows that wait as messages do: with due_at, held_until, tries, sent_at and given_up_at."""
    sent = failed = 0
    tried: set[int] = set()
    with _Post() as post:
        while row := _claim(rows, clock(), tried):
            tried.add(row.pk)
            try:
                error = post.deliver(row, mail_of)
            except NeverSend as reason:
                error = str(reason)
                _end(row, error, clock())
            else:
                _mark(row, error, clock())
            sent, failed = sent + (not error), failed + bool(error)
            if post.is_down or len(tried) >= AT_ONCE:
                break
    return Sent(sent, failed)


def _claim(rows: type[Any], now: datetime, tried: set[int]) -> Any:
    free = Q(held_until=None) | Q(held_until__lt=now)
    due = rows.objects.filter(free, sent_at=None, given_up_at=None, due_at__lte=now)
    for row in due.exclude(pk__in=tried).order_by("due_at", "pk")[:20]:
        mine = rows.objects.filter(free, pk=row.pk, sent_at=None, given_up_at=None)
        if mine.update(held_until=now + CLAIM, tries=F("tries") + 1):
            row.tries += 1
            return row
    return None


def _mark(row: Any, error: str, now: datetime) -> None:
    found = type(row).objects.filter(pk=row.pk, sent_at=None)
    if not error:
        found.update(sent_at=now, held_until=None, last_error="")
    elif row.tries >= MOST_TRIES:
        found.update(given_up_at=now, held_until=None, last_error=error)
    else:
        found.update(due_at=now + wait(row.tries, random()), held_until=None, last_error=error)


def _end(row: Any, why: str, now: datetime) -> None:
    found = type(row).objects.filter(pk=row.pk, sent_at=None)
    found.update(given_up_at=now, held_until=None, last_error=why[:200])


@transaction.atomic
def try_again(message: Message, by: str, now: datetime) -> None:
    """Put a message that waits or was given up back in line, to be sent at once; a sent one stays as it is."""
    row = Message.objects.filter(pk=message.pk, sent_at=None)
    if row.update(given_up_at=None, due_at=now, tries=0):
        journal.record(by, "message put back in line", "", now, message=str(message.uid))


class _Post:
    """One connection to the mail server for all mails of a run."""

    def __init__(self) -> None:
        self.is_down = False
        self._connection: BaseEmailBackend = get_connection()

    def __enter__(self) -> "_Post":
        return self

    def __exit__(self, *why: object) -> None:
        self._connection.close()

    def deliver(self, row: Any, mail_of: Callable[[Any], EmailMessage]) -> str:
        """Empty where the server took it; else what went wrong, without what the server repeats of our words.

        Raises NeverSend.
        """
        try:
            mail = mail_of(row)
        except NeverSend:
            raise
        except Exception as error:
            return _named("The mail server did not take it", error)
        try:
            self._connection.open()
        except Exception as error:
            self.is_down = True
            return _named("The mail server cannot be reached", error)
        try:
            self._connection.send_messages([mail])
        except Exception as error:
            self._connection.close()
            return _named("The mail server did not take it", error)
        return ""


def _named(what: str, error: Exception) -> str:
    code = getattr(error, "smtp_code", None)
    text = f"{what}: {type(error).__name__}{f' {code}' if code else ''}"
    # The kind of error only: its text may repeat the user name, the password or the body.
    log.warning("%s", text)
    return text


def _mail(message: Message) -> EmailMessage:
    return EmailMessage(
        subject=message.subject,
        body=message.body,
        to=[message.address],
        headers=headers_of(message.uid, message.made_at, message.language),
    )


def headers_of(uid: UUID, made_at: datetime, language: str) -> dict[str, str]:
    """What every mail of the book carries besides its text; the same uid gives the same Message-ID."""
    host = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2]
    return {
        "Message-ID": f"<{uid}@{host}>",
        "Date": format_datetime(made_at),
        "Content-Language": language,
        "Auto-Submitted": "auto-generated",
    }
