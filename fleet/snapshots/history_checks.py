"""Checks of a snapshot against what the book knows: the register, and the mesh's last sound copy.

Whatever the book does not know is None, and then nothing is found.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime

from fleet.mesh.addresses import reversed_eui64, show_eui64
from fleet.mesh.counters import CLOCK_TOLERANCE, MARGIN
from fleet.snapshots.comparing import eight_bit_step, jaccard
from fleet.snapshots.facts import SnapshotFacts
from fleet.snapshots.finding_rules import finding
from fleet.snapshots.findings import Code, Finding
from fleet.snapshots.paths import HIDDEN

MOST_FRAMES_PER_SECOND = 200.0
"""No head radio sends more over hours: half the air time of a 250 kbit/s channel (common practice)."""
TIMES_USUAL_RATE = 10
STILL_SECONDS = 3600
MOST_VANISHED = 0.2
LEAST_JACCARD = 0.8

_COUNTER = "$.security.outgoingCounter"


@dataclass(frozen=True, slots=True)
class Before:
    """The mesh's last sound snapshot, without its secrets. key_mark: see digests.key_mark."""

    taken_at: datetime | None
    outgoing_counter: int
    key_sequence: int
    key_mark: bytes | None
    addresses: frozenset[str]


@dataclass(frozen=True, slots=True)
class Context:
    """What register and history say about the mesh a snapshot is meant for; None where they say nothing.

    key_mark is the mark of this snapshot's own network key. key_used_elsewhere says, or can be asked,
    whether another mesh has the same mark. highest_granted is the highest counter that the ledger gave out
    under this key; usual_rate is the mesh's usual rate in frames per second.
    """

    received_at: datetime | None = None
    head_address: str | None = None
    extended_pan_id: str | None = None
    key_mark: bytes | None = None
    key_used_elsewhere: bool | Callable[[], bool] | None = None
    before: Before | None = None
    highest_granted: int | Callable[[], int | None] | None = None
    usual_rate: float | None = None


def place(facts: SnapshotFacts, context: Context) -> Iterator[Finding]:
    """The head address and extended PAN ID are the register's."""
    wrong = {
        "$.identity.headAddress": (facts.head_address, context.head_address),
        "$.identity.extendedPanId": (facts.extended_pan_id, context.extended_pan_id),
    }
    wrong = {path: (found, right) for path, (found, right) in wrong.items() if right not in (None, found)}
    if not wrong:
        return
    path, (found, right) = next(iter(wrong.items()))
    if any(right and found == reversed_eui64(right) for found, right in wrong.values()):
        code = Code.ADDRESSES_REVERSED
    elif facts.head_address == context.head_address:
        code = Code.MESH_REFORMED
    elif facts.extended_pan_id == context.extended_pan_id:
        code = Code.OTHER_HEAD
    else:
        code = Code.WRONG_HOME
    yield finding(code, path, show_eui64(found), right=show_eui64(right or ""))


def arrival(facts: SnapshotFacts, context: Context) -> Iterator[Finding]:
    """Taken before it arrived, and after the last copy."""
    taken = facts.taken_at
    if taken is None:
        return
    if context.received_at is not None and taken - context.received_at > CLOCK_TOLERANCE:
        limit = context.received_at.isoformat()
        yield finding(Code.TAKEN_IN_FUTURE, "$.taken", taken.isoformat(), limit=limit)
    last = context.before.taken_at if context.before else None
    if last is not None and taken < last:
        yield finding(Code.OLDER_THAN_BEFORE, "$.taken", taken.isoformat(), limit=last.isoformat())


def shared_key(_: SnapshotFacts, context: Context) -> Iterator[Finding]:
    """No other mesh in the book has this network key."""
    shared = context.key_used_elsewhere
    if shared() if callable(shared) else shared:
        yield finding(Code.KEY_SHARED, "$.security.networkKey", HIDDEN)


def key_epoch(facts: SnapshotFacts, context: Context) -> Iterator[Finding]:
    """The key and its sequence are the last copy's, or later ones; 255 is followed by 0."""
    before = context.before
    if before is None:
        return
    step = eight_bit_step(before.key_sequence, facts.key_sequence)
    other_key = None not in (before.key_mark, context.key_mark) and before.key_mark != context.key_mark
    path, value, right = "$.security.keySequence", str(facts.key_sequence), str(before.key_sequence)
    if step < 0 and not _is_older(facts, before):
        yield finding(Code.KEY_EPOCH_BEHIND, path, value, right=right)
    elif step > 0 or (other_key and not _is_older(facts, before)):
        yield finding(Code.KEY_EPOCH_CHANGED, path, value, right=right)


def counter_course(facts: SnapshotFacts, context: Context) -> Iterator[Finding]:
    """Under one key the counter rises with time, and no faster than a mesh can send."""
    before = context.before
    if before is None or not _same_key(facts, context, before):
        return
    value = str(facts.outgoing_counter)
    early, late = before.outgoing_counter, facts.outgoing_counter
    if _is_older(facts, before):
        early, late = late, early
    if late < early:
        yield finding(Code.COUNTER_FELL, _COUNTER, value, right=early)
        return
    seconds = _seconds_between(facts, before)
    if seconds is None:
        return
    most = MARGIN + int(seconds * _fastest(context))
    start = early if late - early <= most else _granted_start(early, late, context)
    if late - start > most:
        yield finding(Code.COUNTER_JUMPED, _COUNTER, value, rise=late - start, right=start + most)
    elif late == early and seconds >= STILL_SECONDS:
        yield finding(Code.COUNTER_STOOD_STILL, _COUNTER, value, hours=int(seconds // 3600), right=early)


def node_list(facts: SnapshotFacts, context: Context) -> Iterator[Finding]:
    """Most of the nodes of the last copy are still there (C4)."""
    known = context.before.addresses if context.before else frozenset()
    if not known:
        return
    now = {node.extended_address for node in facts.nodes}
    vanished, appeared = len(known - now), len(now - known)
    if vanished > MOST_VANISHED * len(known):
        turned = {reversed_eui64(address) for address in known}
        if len(turned & now) > len(known & now):
            first = facts.nodes[0].extended_address
            right = show_eui64(reversed_eui64(first))
            yield finding(Code.ADDRESSES_REVERSED, "$.nodes[0].address", show_eui64(first), right=right)
        else:
            yield finding(
                Code.LIST_SHRUNK, "$.nodes", f"{len(now)} nodes", vanished=vanished, known=len(known)
            )
    elif jaccard(known, now) < LEAST_JACCARD:
        yield finding(Code.LIST_CHANGED, "$.nodes", f"{len(now)} nodes", vanished=vanished, appeared=appeared)


REGISTER_CHECKS = (place, arrival, shared_key)
HISTORY_CHECKS = (key_epoch, counter_course, node_list)


def _is_older(facts: SnapshotFacts, before: Before) -> bool:
    if facts.taken_at is None or before.taken_at is None:
        return False
    return facts.taken_at < before.taken_at


def _same_key(facts: SnapshotFacts, context: Context, before: Before) -> bool:
    if facts.key_sequence != before.key_sequence:
        return False
    return context.key_mark is None or before.key_mark is None or context.key_mark == before.key_mark


def _seconds_between(facts: SnapshotFacts, before: Before) -> float | None:
    if facts.taken_at is None or before.taken_at is None:
        return None
    return abs((facts.taken_at - before.taken_at).total_seconds())


def _granted_start(early: int, late: int, context: Context) -> int:
    """Where the counter began to rise from: a value that was written to a radio is no jump."""
    granted = context.highest_granted
    granted = granted() if callable(granted) else granted
    return max(early, granted) if granted is not None and granted <= late else early


def _fastest(context: Context) -> float:
    if context.usual_rate is None:
        return MOST_FRAMES_PER_SECOND
    return min(MOST_FRAMES_PER_SECOND, TIMES_USUAL_RATE * context.usual_rate)
