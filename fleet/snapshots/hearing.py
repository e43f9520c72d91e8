"""Whether a snapshot itself shows a live mesh: its nodes were heard shortly before it was taken."""

from datetime import datetime, timedelta
from enum import StrEnum

from fleet.snapshots.facts import NodeFacts, SnapshotFacts

# Slow sleepers report within a day and two hours (common practice, no source).
DEFAULT_SILENCE = timedelta(hours=26)
SHARE_HEARD = 0.95
SHARE_STATED = 0.5


class Heard(StrEnum):
    """Whether a node had been heard in time when a copy was taken."""

    HEARD = "heard"
    SILENT = "silent"
    UNKNOWN = "unknown"


def seen_live(facts: SnapshotFacts) -> bool:
    """True when at least half of the nodes state when they were last heard, and 95 % of those were in time.

    In time means within twice the node's longest silence, or 26 h where it states none (common practice,
    no source). A snapshot without nodes or without a capture time never counts as seen live.
    """
    if facts.taken_at is None:
        return False
    stated = [node for node in facts.nodes if node.last_heard is not None]
    if not stated or len(stated) < SHARE_STATED * len(facts.nodes):
        return False
    in_time = sum(_in_time(node, facts.taken_at) for node in stated)
    return in_time >= SHARE_HEARD * len(stated)


def heard_by(
    last_heard: datetime | None, taken_at: datetime | None, longest_silence_seconds: int | None
) -> Heard:
    """Whether a node was in time when a copy was taken: within twice its longest silence, or 26 h where unknown.

    UNKNOWN without one of the two moments. A node heard after the copy was taken had an unsteady clock, and was heard.
    """
    if last_heard is None or taken_at is None:
        return Heard.UNKNOWN
    allowed = 2 * timedelta(seconds=longest_silence_seconds) if longest_silence_seconds else DEFAULT_SILENCE
    return Heard.HEARD if taken_at - last_heard <= allowed else Heard.SILENT


def _in_time(node: NodeFacts, taken_at: datetime) -> bool:
    ahead = node.last_heard is not None and node.last_heard > taken_at
    return not ahead and heard_by(node.last_heard, taken_at, node.longest_silence_seconds) is Heard.HEARD
