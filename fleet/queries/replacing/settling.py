"""Rows to who has answered since a new radio spoke: from copies taken since, and from what people ticked."""

from fleet.models import Node, Replacement, WatchMark
from fleet.planning.replacing.settling import Watched


def watched(swap: Replacement) -> list[Watched]:
    """Every device of the mesh. A copy counts only where it was taken after the new radio's first word.

    The mesh's roll holds what the newest sound copy says of when each was heard.
    """
    marks = {mark.node_id: mark for mark in swap.marks.all()}
    nodes = swap.mesh.nodes.filter(gone_since=None).order_by("room", "label", "extended_address")
    return [_watched(node, marks.get(node.pk)) for node in nodes]


def _watched(node: Node, mark: WatchMark | None) -> Watched:
    heard = [moment for moment in (node.last_heard, mark.heard_at if mark else None) if moment is not None]
    return Watched(
        address=node.extended_address,
        is_router=node.role == "router",
        usual_silence=node.longest_silence_seconds,
        heard_at=max(heard, default=None),
        guards=bool(node.safety_kind),
        tried_by_hand=mark is not None and mark.tried_at is not None,
        explained=mark is not None and bool(mark.explained),
    )
