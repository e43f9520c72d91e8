"""Whether a snapshot itself shows a live mesh: its nodes were heard shortly before it was taken."""

from datetime import timedelta

from fleet.snapshots.facts import NodeFacts, SnapshotFacts

# Slow sleepers report within a day and two hours (common practice, no source).
DEFAULT_SILENCE = timedelta(hours=26)
SHARE_HEARD = 0.95
SHARE_STATED = 0.5


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
    in_time = sum(_in_time(node, facts) for node in stated)
    return in_time >= SHARE_HEARD * len(stated)


def _in_time(node: NodeFacts, facts: SnapshotFacts) -> bool:
    if node.last_heard is None or facts.taken_at is None:
        return False
    allowed = (
        2 * timedelta(seconds=node.longest_silence_seconds)
        if node.longest_silence_seconds
        else DEFAULT_SILENCE
    )
    return timedelta(0) <= facts.taken_at - node.last_heard <= allowed
