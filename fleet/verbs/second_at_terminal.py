"""A second person who agrees at a terminal: nobody is signed in there, so they prove by their password who they are."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

from django.contrib.auth import authenticate
from django.db import transaction
from django.utils import timezone

from fleet.models import JournalEntry
from fleet.verbs import journal
from sites import access
from sites.models import Person

REFUSED = "second person refused"
TERMINAL = "terminal"


class SecondRefused(Exception):
    """Nobody has agreed; the sentence says why and what would be right."""


def second_at_terminal(
    name: str, password: str, by: str, allowed: Callable[[Person, date], bool], now: datetime
) -> Person:
    """Whoever has this user name and password, if they may agree and are not who asks; or SecondRefused.

    by: the name of who asks; allowed: who may agree, such as access.may_decide. Every wrong try is a line of the
    journal, and five of these within a quarter of an hour, from whatever process, end all tries: as on pages.
    """
    with transaction.atomic():
        # Held while it is looked at, so that many tries at once are not more than are allowed.
        Person.objects.select_for_update().filter(username=name).first()
        if _wrong_tries(now) >= access.WRONG_TRIES:
            raise SecondRefused(
                f"{access.WRONG_TRIES} tries were wrong. Wait a quarter of an hour, then try again."
            )
        person = authenticate(username=name, password=password)
        if person is None or not allowed(person, timezone.localdate(now)):
            known = Person.objects.filter(username=name).exists()
            journal.record(by[:120], REFUSED, TERMINAL, now, second=name if known else "nobody of the book")
            person = None
    if person is None:
        raise SecondRefused("no such person with this password may agree to it.")
    if by.strip().casefold() in (person.username.casefold(), str(person).casefold()):
        raise SecondRefused("the second person must be somebody other than the one who asks.")
    return person


def _wrong_tries(now: datetime) -> int:
    lately = now - timedelta(seconds=access.TRIES_SECONDS)
    return JournalEntry.objects.filter(subject=TERMINAL, what=REFUSED, at__gt=lately).count()
