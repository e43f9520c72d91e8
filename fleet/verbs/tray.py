"""What people do with a document in the tray: open it, clear it, send it to a mesh, have it read again."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from fleet.models import How, Mesh, SealedBody, TrayItem
from fleet.queries.sealed import Erased, open_body
from fleet.snapshots.packing import PackError
from fleet.snapshots.sealing import SealError
from fleet.verbs import journal
from fleet.verbs.intake import Kind, Origin, Receipt, Refusal, receive, take_in

LONGEST_REASON = 200


class TrayRefused(Exception):
    """The act is not done; the sentence says why, and what would be right."""


def open_item(item: TrayItem, by: str, now: datetime) -> bytes:
    """The document as it came, for somebody who is to see what it says. Raises TrayRefused where it is damaged."""
    body = octets_of(item)
    journal.record(by, "tray item opened", _code(item.mesh), now, item=str(item.uid))
    return body


def octets_of(item: TrayItem) -> bytes:
    """The same for a verb that shows nothing of it."""
    sealed = SealedBody.objects.select_related("data_key", "tray_item__mesh").filter(tray_item=item).first()
    if sealed is None:
        raise TrayRefused("The tray holds nothing of this document any more.")
    try:
        return open_body(sealed)
    except (SealError, PackError) as error:
        raise TrayRefused(f"What the tray holds cannot be opened. {error}") from None


@transaction.atomic
def clear(item: TrayItem, because: str, by: str, now: datetime, erase: bool = False) -> TrayItem:
    """Take a document out of the tray. What it holds stays sealed unless it is to be erased.

    Raises TrayRefused without a reason, where somebody was faster, and for erasing under a legal hold.
    """
    because = because.strip()
    if not 0 < len(because) <= LONGEST_REASON:
        raise TrayRefused(f"Say why it is cleared, in 1 to {LONGEST_REASON} characters.")
    item = locked(item)
    if erase and item.mesh and item.mesh.site.client.held_since:
        raise TrayRefused(
            "A legal hold stands for this client, so nothing is erased. Clear it and keep it sealed."
        )
    leave(item, because, by, now)
    if erase:
        SealedBody.objects.filter(tray_item=item).delete()
    told = {"item": str(item.uid), "because": because, "erased": "yes" if erase else "no, kept sealed"}
    journal.record(by, "tray item cleared", _code(item.mesh), now, **told)
    return item


@transaction.atomic
def send_to(item: TrayItem, mesh: Mesh, by: str, now: datetime) -> Receipt:
    """Take a document in for this mesh, as if it had come for it when and how it came; its own mesh reads it again.

    What cannot be taken in there waits there with the new reason. Raises TrayRefused where somebody was faster.
    """
    lock_meshes({mesh.pk, item.mesh_id} - {None})
    item = locked(item)
    sender = _code(item.mesh)
    if item.mesh_id == mesh.pk:
        receipt = read_again(item, "read again", by, now)
    else:
        receipt = _received(mesh, item)
        leave(item, f"sent to {mesh.code}", by, now)
        SealedBody.objects.filter(tray_item=item).delete()
    told = {"item": str(item.uid), "came_for": sender or "no mesh", "outcome": receipt.kind}
    journal.record(by, "tray item sent", mesh.code, now, **told)
    return receipt


def _received(mesh: Mesh, item: TrayItem) -> Receipt:
    try:
        return receive(mesh, octets_of(item), _origin(item), item.received_at)
    except Erased as error:
        raise TrayRefused(str(error)) from None


def read_again(item: TrayItem, because: str, by: str, now: datetime) -> Receipt:
    """Try once more to take a document in for its mesh: it leaves the tray, or stays with the reason of today.

    Its octets then lie sealed with the snapshot. Call inside a transaction with mesh and item locked.
    """
    outcome = take_in(item.mesh, octets_of(item), _origin(item), item.received_at)
    if isinstance(outcome, Refusal):
        item.reason, item.problems = outcome.reason, outcome.lines
        item.save(update_fields=["reason", "problems"])
        return Receipt(Kind.TRAYED, tray_item=item)
    leave(item, because, by, now)
    SealedBody.objects.filter(tray_item=item).delete()
    return outcome


def lock_meshes(numbers: Iterable[int]) -> None:
    """Meshes before items, each in order, as the intake does it: else two people could wait for each other."""
    list(Mesh.objects.select_for_update().filter(pk__in=numbers).order_by("pk").values_list("pk", flat=True))


def locked(item: TrayItem) -> TrayItem:
    """The item as it stands, locked until the transaction ends. Raises TrayRefused where it waits no more."""
    # Locked before it is joined: PostgreSQL reads a row again that it waited for, but not the mesh joined to it.
    TrayItem.objects.select_for_update().get(pk=item.pk)
    fresh = TrayItem.objects.select_related("mesh__site__client").get(pk=item.pk)
    if fresh.cleared_at is not None:
        who = fresh.cleared_by or "Somebody"
        raise TrayRefused(
            f"{who} was faster: this document left the tray on {fresh.cleared_at:%Y-%m-%d at %H:%M} UTC "
            f"({fresh.cleared_because or 'no reason noted'})."
        )
    return fresh


def leave(item: TrayItem, because: str, by: str, now: datetime) -> None:
    """Write down that a document waits no more."""
    item.cleared_at, item.cleared_by, item.cleared_because = now, by, because[:LONGEST_REASON]
    item.save(update_fields=["cleared_at", "cleared_by", "cleared_because"])


def _origin(item: TrayItem) -> Origin:
    return Origin(How(item.how), item.by, item.file_name)


def _code(mesh: Mesh | None) -> str:
    return mesh.code if mesh else ""
