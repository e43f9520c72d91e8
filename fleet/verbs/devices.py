"""What people say of a device: its name and room, what it guards, how to use and wake it by hand."""

from datetime import datetime

from django.db import transaction

from fleet.models import Node
from fleet.verbs import journal


@transaction.atomic
def put_down(node: Node, changed: list[str], by: str, now: datetime) -> None:
    """Save these fields of a device. Their names go to the journal; what was typed does not, as it may be personal.

    A label or room that somebody gave stays, whatever later copies call the device; with both empty, copies name it.
    """
    if {"label", "room"} & set(changed):
        node.named_by_hand = bool(node.label or node.room)
    node.save(update_fields=[*changed, "named_by_hand"])
    journal.record(
        by, "device changed", node.mesh.code, now, device=node.extended_address, fields=sorted(changed)
    )
