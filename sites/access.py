"""Which homes a person may see and change. Pages, commands and interfaces ask here and never decide themselves.

Things of a home that is not open to somebody do not exist for them: the answer is "not found", never "forbidden".
"Forbidden" is kept for acts on a home that they may see.
"""

from contextlib import suppress
from datetime import date
from uuid import UUID

from django.contrib.auth import authenticate
from django.core.cache import cache
from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from redis.exceptions import RedisError

from sites.models import Client, Person, Role, Site

WHOLE_BOOK = frozenset({Role.OWNER, Role.OFFICE, Role.TECHNICIAN})
DECIDES = frozenset({Role.OWNER, Role.OFFICE})
WRONG_TRIES = 5
TRIES_SECONDS = 15 * 60


class TooManyTries(Exception):
    """Somebody has got the passwords of second persons wrong too often to be anything but guessing."""


def has_ended(person: Person, today: date) -> bool:
    """True after the last day of somebody's access; the day itself still counts."""
    return person.access_ends_on is not None and today > person.access_ends_on


def sees_whole_book(person: Person, today: date) -> bool:
    """True where every home, the tray, the rounds and the journal are open."""
    return person.role in WHOLE_BOOK and not has_ended(person, today)


def may_change(person: Person, today: date) -> bool:
    """True where somebody may write in the book; a subcontractor only reads and sends snapshots."""
    return sees_whole_book(person, today)


def may_decide(person: Person, today: date) -> bool:
    """True where somebody may do for the firm what cannot be undone: erase a client, set or lift a legal hold."""
    return person.role in DECIDES and not has_ended(person, today)


def sites_for(person: Person, today: date) -> QuerySet[Site]:
    """The homes that are open to this person on this day."""
    if sees_whole_book(person, today):
        return Site.objects.all()
    if person.role == Role.SUBCONTRACTOR and not has_ended(person, today):
        return Site.objects.filter(people=person)
    return Site.objects.none()


def clients_for(person: Person, today: date) -> QuerySet[Client]:
    """The clients that are open: all, or those with a home that is."""
    if sees_whole_book(person, today):
        return Client.objects.all()
    return Client.objects.filter(pk__in=sites_for(person, today).values("client"))


def site_for(person: Person, code: str, today: date) -> Site:
    """One home with its client, or Http404."""
    return get_object_or_404(sites_for(person, today).select_related("client"), code=code)


def client_for(person: Person, uid: UUID, today: date) -> Client:
    """One client, or Http404."""
    return get_object_or_404(clients_for(person, today), uid=uid)


def site_to_change(person: Person, code: str, today: date) -> Site:
    """One home that this person may change; Http404 where it is not open, PermissionDenied where only to read."""
    site = site_for(person, code, today)
    require_change(person, today)
    require_not_erased(site.client)
    return site


def client_to_change(person: Person, uid: UUID, today: date) -> Client:
    """One client that this person may change; raises as site_to_change does."""
    client = client_for(person, uid, today)
    require_change(person, today)
    require_not_erased(client)
    return client


def require_change(person: Person, today: date) -> None:
    """PermissionDenied unless this person may write in the book."""
    if not may_change(person, today):
        raise PermissionDenied("This needs somebody of the firm who may change the book.")


def require_not_erased(client: Client) -> None:
    """PermissionDenied where the client was erased: what is left is a record."""
    if client.erased_at is not None:
        raise PermissionDenied(
            f"This client was erased on {client.erased_at:%Y-%m-%d}; what is left is a record. A client who comes "
            "back is entered anew."
        )


def client_to_decide(person: Person, uid: UUID, today: date) -> Client:
    """One client for whom this person may decide; raises as site_to_change does."""
    client = client_for(person, uid, today)
    require_decide(person, today)
    return client


def require_decide(person: Person, today: date) -> None:
    """PermissionDenied unless this person may do what cannot be undone."""
    if not may_decide(person, today):
        raise PermissionDenied("This needs the owner or the office.")


def second_person(first: Person, name: str, password: str) -> Person | None:
    """Whoever in the firm has this user name and password, or None. first: who asks for it.

    A try is counted before it is looked at, so that many at once are not more than allowed. Raises TooManyTries
    from the sixth within 15 minutes of the first wrong one. Where the counts are out of reach nobody is refused.
    """
    tries = f"second-person-{first.pk}"
    with suppress(RedisError, OSError, ValueError):
        cache.add(tries, 0, TRIES_SECONDS)
        if cache.incr(tries) > WRONG_TRIES:
            raise TooManyTries(f"{WRONG_TRIES} tries were wrong. Wait a quarter of an hour, then try again.")
    person = authenticate(username=name, password=password)
    if person is not None:
        with suppress(RedisError, OSError, ValueError):
            cache.decr(tries)
    return person


def people_for(person: Person, today: date) -> QuerySet[Person]:
    """Whose working facts are open: for those who decide everybody's in the firm, for others their own."""
    if may_decide(person, today):
        return Person.objects.filter(is_active=True)
    return Person.objects.filter(pk=None if has_ended(person, today) else person.pk)


def person_for(person: Person, username: str, today: date) -> Person:
    """One whose working facts are open, or Http404."""
    return get_object_or_404(people_for(person, today), username=username)


def person_to_change(person: Person, username: str, today: date) -> Person:
    """One whose working facts may be changed; Http404 where not open, PermissionDenied where only to read."""
    found = person_for(person, username, today)
    require_decide(person, today)
    return found
