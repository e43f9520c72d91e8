"""Which homes a person may see and change. Pages, commands and interfaces ask here and never decide themselves.

Things of a home that is not open to somebody do not exist for them: the answer is "not found", never "forbidden".
"Forbidden" is kept for acts on a home that they may see.
"""

from datetime import date
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from sites.models import Client, Person, Role, Site

WHOLE_BOOK = frozenset({Role.OWNER, Role.OFFICE, Role.TECHNICIAN})


def has_ended(person: Person, today: date) -> bool:
    """True after the last day of somebody's access; the day itself still counts."""
    return person.access_ends_on is not None and today > person.access_ends_on


def sees_whole_book(person: Person, today: date) -> bool:
    """True where every home, the tray, the rounds and the journal are open."""
    return person.role in WHOLE_BOOK and not has_ended(person, today)


def may_change(person: Person, today: date) -> bool:
    """True where somebody may write in the book; a subcontractor only reads and sends snapshots."""
    return sees_whole_book(person, today)


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
    return site


def client_to_change(person: Person, uid: UUID, today: date) -> Client:
    """One client that this person may change; raises as site_to_change does."""
    client = client_for(person, uid, today)
    require_change(person, today)
    return client


def require_change(person: Person, today: date) -> None:
    """PermissionDenied unless this person may write in the book."""
    if not may_change(person, today):
        raise PermissionDenied("This needs somebody of the firm who may change the book.")
