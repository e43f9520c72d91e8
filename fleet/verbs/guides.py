"""Confirming a field guide, and reading again what waited in the tray for it."""

from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from fleet.models import FieldGuideRow, How, KnownLayout, SealedBody, TrayItem, TrayReason
from fleet.queries.sealed import open_body
from fleet.snapshots.guides import FieldGuide, to_json
from fleet.verbs import journal
from fleet.verbs.intake import Kind, Origin, receive


@dataclass(frozen=True, slots=True)
class Confirmed:
    """The guide's row, and how many waiting documents it could and could not take in."""

    row: FieldGuideRow
    taken_in: int
    still_waiting: int


@transaction.atomic
def confirm(guide: FieldGuide, fingerprint: str, by: str, now: datetime) -> Confirmed:
    """Store the guide for the layout of that fingerprint, then read again what waits with an unknown layout.

    A guide of that name is replaced under a higher version; the layouts that it read before stay its own.
    """
    known = FieldGuideRow.objects.select_for_update().filter(name=guide.name).first()
    version = known.version + 1 if known else 1
    prints = {fingerprint, *(known.layouts.values_list("fingerprint", flat=True) if known else ())}
    text = to_json(replace(guide, version=version, fingerprints=tuple(sorted(prints))))
    row, _ = FieldGuideRow.objects.update_or_create(
        name=guide.name,
        defaults={"version": version, "text": text, "confirmed_by": by, "confirmed_at": now},
    )
    KnownLayout.objects.update_or_create(fingerprint=fingerprint, defaults={"guide": row})
    journal.record(by, "field guide confirmed", "", now, guide=row.name, version=version)
    outcomes = [_read_again(item, row, by, now) for item in _waiting()]
    return Confirmed(row, sum(outcomes), len(outcomes) - sum(outcomes))


def _waiting() -> list[TrayItem]:
    waiting = TrayItem.objects.filter(reason=TrayReason.UNKNOWN_LAYOUT, cleared_at=None).exclude(mesh=None)
    return list(waiting.select_related("mesh__site__client").order_by("received_at", "pk"))


def _read_again(item: TrayItem, row: FieldGuideRow, by: str, now: datetime) -> bool:
    """True where the document left the tray; its octets then lie sealed with the snapshot."""
    body = open_body(item.sealed_body)
    # Cleared first: a document that still cannot be read then makes an item of its own, with the new reason.
    item.cleared_at, item.cleared_by = now, by
    item.cleared_because = f"read again with field guide {row.name} {row.version}"
    item.save(update_fields=["cleared_at", "cleared_by", "cleared_because"])
    receipt = receive(item.mesh, body, Origin(How(item.how), item.by, item.file_name), item.received_at)
    SealedBody.objects.filter(tray_item=item).delete()
    return receipt.kind is not Kind.TRAYED
