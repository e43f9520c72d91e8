"""Ticking devices off after a swap: heard, tried by hand, or why one is silent."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.models import Node, Replacement, WatchMark
from fleet.planning.replacing.states import WATCHED
from fleet.verbs import journal
from fleet.verbs.replacing.moving import MoveRefused, locked


@dataclass(frozen=True, slots=True)
class Tick:
    """What somebody saw of one device; an empty explanation leaves the one on record. take_back: it was a slip."""

    heard: bool = False
    tried_by_hand: bool = False
    explained: str = ""
    take_back: bool = False


@transaction.atomic
def mark(swap: Replacement, node: Node, tick: Tick, by: str, now: datetime) -> WatchMark:
    """Write it down. A device that was tried by hand was heard too. Raises MoveRefused.

    What was seen before the radio that speaks now first spoke counts for nothing, and gives way.
    """
    swap = locked(swap)
    if swap.stands not in WATCHED:
        raise MoveRefused(f"state: it is {swap.stands.words}; devices are ticked off once a radio speaks.")
    if node.mesh_id != swap.mesh_id:
        raise MoveRefused(f"device: {node.extended_address} is not one of {swap.mesh.code}.")
    row, _ = WatchMark.objects.get_or_create(replacement=swap, node=node)
    since = swap.first_word_at or now
    today = now.astimezone(ZoneInfo(swap.mesh.site.time_zone)).date()
    if tick.take_back:
        _take_back(row, node, swap)
    if (tick.heard or tick.tried_by_hand) and (row.heard_at is None or row.heard_at < since):
        row.heard_at = now
    if tick.tried_by_hand and (row.tried_at is None or row.tried_at < since):
        row.tried_at = now
        if node.safety_kind:
            Node.objects.filter(pk=node.pk).update(tested_by_hand_on=today)
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
        taken_back=tick.take_back,
    )
    return row


def _take_back(row: WatchMark, node: Node, swap: Replacement) -> None:
    """As if nobody had ticked it; a test by hand of that day is taken off the device too."""
    if row.tried_at is not None:
        day = row.tried_at.astimezone(ZoneInfo(swap.mesh.site.time_zone)).date()
        Node.objects.filter(pk=node.pk, tested_by_hand_on=day).update(tested_by_hand_on=None)
    row.heard_at, row.tried_at, row.explained = None, None, ""
