"""What a sound snapshot changes in the book: mesh facts, key epoch, node rows, counter ledger."""

from hashlib import sha256
from operator import attrgetter, itemgetter

import orjson
from django.db.models import Q

from fleet.models import JUDGED_GRADES, CounterEvidence, Currency, EvidenceKind, Mesh, Node, Snapshot
from fleet.models.mesh import WRITTEN_BY_SNAPSHOTS
from fleet.snapshots.facts import NodeFacts, SnapshotFacts

NODE_FIELDS = (
    "short_address",
    "role",
    "parent_address",
    "power",
    "link_key_kind",
    "link_key_held",
    "sleeps",
    "longest_silence_seconds",
    "label",
    "room",
    "gone_since",
)
_of_structure = attrgetter(
    "extended_address",
    "short_address",
    "role",
    "parent",
    "power",
    "link_key_kind",
    "sleeps",
    "longest_silence_seconds",
    "label",
    "room",
)


def counter_line(mesh: Mesh, snapshot: Snapshot, facts: SnapshotFacts, by: str) -> CounterEvidence:
    """What the ledger learns from a sound copy; not yet written."""
    return CounterEvidence(
        mesh=mesh,
        key_mark=snapshot.key_mark,
        key_sequence=snapshot.key_sequence,
        head_address=facts.head_address,
        value=min(facts.outgoing_counter, 0xFFFF_FFFE),
        at=snapshot.taken_at,
        landed_at=snapshot.received_at,
        kind=EvidenceKind.SNAPSHOT,
        snapshot=snapshot,
        by=by,
    )


def change_book(mesh: Mesh, snapshot: Snapshot, facts: SnapshotFacts, mark: bytes) -> tuple[str, ...]:
    """Bring nodes and mesh in line with the newest sound copy. The mesh itself is not written: these fields are to be.

    mark is that of the copy's network key.
    """
    structure = nodes_mark(facts.nodes)
    if structure != mesh.nodes_mark:
        change_nodes(mesh, snapshot, facts.nodes)
    if is_of_another_key(mesh, snapshot):
        # Copies of an older key were locked out when that key went, so only a change of key asks for it.
        _lock_others_out(mesh, snapshot)
    before = [getattr(mesh, name) for name in WRITTEN_BY_SNAPSHOTS]
    _change_mesh(mesh, snapshot, facts, mark, structure)
    return tuple(
        name for name, old in zip(WRITTEN_BY_SNAPSHOTS, before, strict=True) if getattr(mesh, name) != old
    )


def is_of_another_key(mesh: Mesh, snapshot: Snapshot) -> bool:
    """True where copy and mesh have another network key, or another sequence of it: one cannot bring back the other."""
    return (snapshot.key_mark, snapshot.key_sequence) != (mesh.key_mark, mesh.key_sequence)


def _lock_others_out(mesh: Mesh, snapshot: Snapshot) -> None:
    judged = mesh.snapshots.filter(grade__in=JUDGED_GRADES).exclude(currency=Currency.LOCKED_OUT)
    others = judged.filter(~Q(key_mark=snapshot.key_mark) | ~Q(key_sequence=snapshot.key_sequence))
    others.update(currency=Currency.LOCKED_OUT)


def _change_mesh(mesh: Mesh, snapshot: Snapshot, facts: SnapshotFacts, mark: bytes, structure: str) -> None:
    mesh.extended_pan_id = mesh.extended_pan_id or facts.extended_pan_id
    mesh.head_address = mesh.head_address or facts.head_address
    mesh.pan_id = facts.pan_id
    mesh.channel = facts.channel if facts.channel_page == 0 else None
    mesh.key_mark = snapshot.key_mark
    mesh.key_digest = mark
    mesh.key_sequence = facts.key_sequence
    mesh.update_id = facts.update_id
    mesh.security_mode = facts.security_mode.value if facts.security_mode else ""
    mesh.power_dbm = facts.power_dbm
    mesh.seed_held = facts.link_key_seed is not None
    mesh.table_use = snapshot.table_use
    mesh.nodes_mark = structure
    mesh.roll = _roll(facts.nodes)


def _roll(nodes: tuple[NodeFacts, ...]) -> dict[str, str | None]:
    """Each node with the time it was last heard, all times written at once: one by one takes ten times as long."""
    heard = {node.extended_address: node.last_heard for node in nodes}
    written: dict[str, str | None] = orjson.loads(orjson.dumps(heard))
    return written


def nodes_mark(nodes: tuple[NodeFacts, ...]) -> str:
    """Equal for lists that would leave the node rows as they are: on a quiet day none of them is even read."""
    plain = [(*_of_structure(node), node.link_key is not None) for node in nodes]
    plain.sort(key=itemgetter(0))
    return sha256(orjson.dumps(plain)).hexdigest()


def change_nodes(mesh: Mesh, snapshot: Snapshot, nodes: tuple[NodeFacts, ...]) -> None:
    """Bring the node rows in line with the snapshot. What people typed is kept; nothing is deleted."""
    known = {node.extended_address: node for node in mesh.nodes.all()}
    added, changed = [], []
    for facts in nodes:
        node = known.pop(facts.extended_address, None)
        if node is None:
            node = Node(mesh=mesh, extended_address=facts.extended_address, first_seen=snapshot.taken_at)
            _fill(node, facts)
            added.append(node)
        elif _fill(node, facts):
            changed.append(node)
    left = [node for node in known.values() if node.gone_since is None]
    for node in left:
        node.gone_since = snapshot.taken_at
    Node.objects.bulk_create(added)
    Node.objects.bulk_update([*changed, *left], NODE_FIELDS)


def _fill(node: Node, facts: NodeFacts) -> bool:
    """Write the facts into the row; true where anything differed."""
    before = [getattr(node, name) for name in NODE_FIELDS]
    node.short_address = facts.short_address
    node.role = facts.role.value if facts.role else ""
    node.parent_address = facts.parent or ""
    node.power = facts.power.value if facts.power else ""
    node.link_key_kind = facts.link_key_kind.value if facts.link_key_kind else ""
    node.link_key_held = facts.link_key is not None
    node.sleeps = facts.sleeps
    node.longest_silence_seconds = facts.longest_silence_seconds
    if not node.named_by_hand:
        # A document without names must not wipe those that an older copy gave.
        node.label = facts.label[:120] or node.label
        node.room = facts.room[:120] or node.room
    node.gone_since = None
    return before != [getattr(node, name) for name in NODE_FIELDS]
