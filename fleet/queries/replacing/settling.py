"""Rows to who has answered since a radio spoke: from copies taken since, and from what people ticked."""

from datetime import datetime

from django.db.models import Q, QuerySet

from fleet.models import Node, Replacement, WatchMark
from fleet.planning.replacing.settling import Watched


def roll_of(swap: Replacement) -> QuerySet[Node]:
    """The devices of the mesh as of the silencing: one that a later copy no longer lists is still waited for."""
    silenced = swap.silences.first()
    since = silenced.at if silenced else swap.first_word_at or swap.moved_at
    still_there = Q(gone_since=None) | Q(gone_since__gte=since)
    return swap.mesh.nodes.filter(still_there).order_by("room", "label", "extended_address")


def watched(swap: Replacement) -> list[Watched]:
    """Every device of the roll. A copy counts only where it was taken after the radio's first word.

    The mesh's roll holds what the newest sound copy says of when each was heard.
    """
    marks = {mark.node_id: mark for mark in swap.marks.all()}
    return [_watched(node, marks.get(node.pk), swap.first_word_at) for node in roll_of(swap)]


def _watched(node: Node, mark: WatchMark | None, since: datetime | None) -> Watched:
    """What was tried before the radio that speaks now first spoke proves nothing of it."""
    tried = mark.tried_at if mark else None
    heard = [moment for moment in (node.last_heard, mark.heard_at if mark else None) if moment is not None]
    return Watched(
        address=node.extended_address,
        is_router=node.role == "router",
        usual_silence=node.longest_silence_seconds,
        heard_at=max(heard, default=None),
        guards=bool(node.safety_kind),
        tried_by_hand=tried is not None and (since is None or tried >= since),
        explained=mark is not None and bool(mark.explained),
    )
