"""What waits in the tray or has left it, and for whom."""

from datetime import date
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.shortcuts import get_object_or_404

from fleet.models import Mesh, SealedBody, Snapshot, TrayItem, TrayReason
from fleet.queries.layouts import read
from fleet.snapshots.decoding import ReadError
from sites import access
from sites.models import Person


def waiting_for(person: Person, today: date) -> QuerySet[TrayItem]:
    """Waiting documents, newest first; one that names no mesh is for those who see the whole book."""
    return _open_to(person, today).filter(cleared_at=None)


def cleared_for(person: Person, today: date) -> QuerySet[TrayItem]:
    """The same for documents that have left the tray."""
    return _open_to(person, today).exclude(cleared_at=None)


def with_meshes(items: QuerySet[TrayItem]) -> QuerySet[TrayItem]:
    """With the home and client each names, and whether the octets still lie here. One statement."""
    held = Exists(SealedBody.objects.filter(tray_item=OuterRef("pk")))
    return items.select_related("mesh__site__client").annotate(held=held).order_by("-received_at", "-id")


def item_to_change(person: Person, uid: UUID, today: date) -> TrayItem:
    """One item that this person may act on; Http404 where it is not open, PermissionDenied where only to read."""
    item = get_object_or_404(with_meshes(_open_to(person, today)), uid=uid)
    access.require_change(person, today)
    return item


def unread() -> QuerySet[TrayItem]:
    """What waits for a mesh because its layout is not known, or because its field guide could not read it."""
    reasons = (TrayReason.UNKNOWN_LAYOUT, TrayReason.UNREADABLE)
    return TrayItem.objects.filter(reason__in=reasons, cleared_at=None).exclude(mesh=None)


def taken_in_as(item: TrayItem) -> Snapshot | None:
    """The copy that the octets of an item became, if they did."""
    same = Q(body_mark=item.body_mark) | Q(arrivals__body_mark=item.body_mark)
    return Snapshot.objects.filter(same, mesh=item.mesh_id).first()


def home_of(body: bytes) -> Mesh | None:
    """The mesh whose extended PAN ID a document states, if it can be read and the book knows one."""
    try:
        facts = read(body).facts
    except ReadError:
        return None
    return Mesh.objects.filter(extended_pan_id=facts.extended_pan_id).first()


def _open_to(person: Person, today: date) -> QuerySet[TrayItem]:
    if access.sees_whole_book(person, today):
        return TrayItem.objects.all()
    return TrayItem.objects.filter(mesh__site__in=access.sites_for(person, today))
