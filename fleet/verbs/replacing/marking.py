"""Ticking devices off after a swap: heard, tried by hand, or why one is silent."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.models import Node, Replacement, WatchMark
from fleet.planning.replacing.states import NEW_SPEAKS
from fleet.verbs import journal
from fleet.verbs.replacing.moving import MoveRefused, locked


@dataclass(frozen=True, slots=True)
class Tick:
    """What somebody saw of one device; an empty explanation leaves the one on record."""

    heard: bool = False
    tried_by_hand: bool = False
    explained: str = ""


@transaction.atomic
def mark(swap: Replacement, node: Node, tick: Tick, by: str, now: datetime) -> WatchMark:
    """Write it down. A device that was tried by hand was heard too. Raises MoveRefused."""
    swap = locked(swap)
    if swap.stands not in NEW_SPEAKS:
        raise MoveRefused(
            f"state: it is {swap.stands.words}; devices are ticked off once the new radio speaks."
        )
    if node.mesh_id != swap.mesh_id:
        raise MoveRefused(f"device: {node.extended_address} is not one of {swap.mesh.code}.")
    row, _ = WatchMark.objects.get_or_create(replacement=swap, node=node)
    if (tick.heard or tick.tried_by_hand) and row.heard_at is None:
        row.heard_at = now
    if tick.tried_by_hand and row.tried_at is None:
        row.tried_at = now
        if node.safety_kind:
            node.tested_by_hand_on = now.date()
            node.save(update_fields=["tested_by_hand_on"])
    row.explained = tick.explained.strip()[:200] or row.explained
    row.by = by[:120]
    row.save()
    journal.record(
        by,
        "device ticked off",
        swap.mesh.code,
        now,
        device=node.extended_address,
        tried_by_hand=tick.tried_by_hand,
    )
    return row
