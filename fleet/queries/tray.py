"""What waits in the tray, and for whom."""

from datetime import date

from django.db.models import QuerySet

from fleet.models import TrayItem
from sites import access
from sites.models import Person


def waiting_for(person: Person, today: date) -> QuerySet[TrayItem]:
    """Waiting documents, newest first; one that names no mesh is for those who see the whole book."""
    items = TrayItem.objects.filter(cleared_at=None)
    if access.sees_whole_book(person, today):
        return items
    return items.filter(mesh__site__in=access.sites_for(person, today))


def with_meshes(items: QuerySet[TrayItem]) -> QuerySet[TrayItem]:
    """With the home and client each names. One statement."""
    return items.select_related("mesh__site__client").order_by("-received_at", "-id")
