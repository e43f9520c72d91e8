"""Two snapshots of one mesh side by side: what changed, and what that means for older copies (C4).

Nodes are told apart by their 64-bit address only, so order of rows, letter case and a new short address never
make a node appear or vanish.
"""

from collections.abc import Callable, Iterator
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from fleet.mesh.addresses import show_eui64, show_pan_id, show_short
from fleet.snapshots.facts import NodeFacts, SnapshotFacts
from fleet.snapshots.paths import HIDDEN

_Value = TypeVar("_Value")


class OlderCopies(StrEnum):
    """What a change makes of the copies taken before it, from harmless to grave."""

    UNTOUCHED = "untouched"
    NEED_RETUNING = "need_retuning"
    SUSPECT = "suspect"
    LOCKED_OUT = "locked_out"
    OF_ANOTHER_MESH = "of_another_mesh"


class MeshFact(StrEnum):
    """What of the mesh itself changed."""

    HEAD_ADDRESS = "head_address"
    EXTENDED_PAN_ID = "extended_pan_id"
    NETWORK_KEY = "network_key"
    KEY_SEQUENCE = "key_sequence"
    CHANNEL = "channel"
    PAN_ID = "pan_id"
    UPDATE_ID = "update_id"
    COUNTER = "counter"
    LINK_KEY_SEED = "link_key_seed"


@dataclass(frozen=True, slots=True)
class MeshChange:
    """One change of the mesh. before and after are fit to be shown; a key is "(hidden)"."""

    fact: MeshFact
    before: str
    after: str
    older_copies: OlderCopies
    meaning: str


@dataclass(frozen=True, slots=True)
class NodeChange:
    """One change of a node that both copies hold, in words fit to be shown."""

    address: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Difference:
    """Everything that differs. Addresses are sorted; a fact that one copy does not state is no difference,
    but for link keys: that a copy holds none decides what it can bring back.
    """

    appeared: tuple[str, ...]
    vanished: tuple[str, ...]
    readdressed: tuple[NodeChange, ...]
    reparented: tuple[NodeChange, ...]
    role_changed: tuple[NodeChange, ...]
    key_changed: tuple[str, ...]
    key_missing: tuple[str, ...]
    key_added: tuple[str, ...]
    mesh: tuple[MeshChange, ...]
    in_common: int
    jaccard: float

    @property
    def changed(self) -> frozenset[str]:
        """Devices in both copies of which anything differs."""
        stepped = (*self.readdressed, *self.reparented, *self.role_changed)
        keys = (*self.key_changed, *self.key_missing, *self.key_added)
        return frozenset((*(change.address for change in stepped), *keys))

    @property
    def older_copies(self) -> OlderCopies:
        """The gravest of what the changes make of older copies."""
        order = list(OlderCopies)
        return max((change.older_copies for change in self.mesh), key=order.index, default=order[0])


def compare(older: SnapshotFacts, newer: SnapshotFacts) -> Difference:
    """What changed from older to newer."""
    before, after = _by_address(older), _by_address(newer)
    common = sorted(before.keys() & after.keys())
    pairs = [(before[address], after[address]) for address in common]
    keys = [(one.extended_address, one.link_key, other.link_key) for one, other in pairs]
    return Difference(
        appeared=tuple(sorted(after.keys() - before.keys())),
        vanished=tuple(sorted(before.keys() - after.keys())),
        readdressed=_changed(pairs, lambda node: node.short_address, show_short),
        reparented=_changed(pairs, lambda node: node.parent, show_eui64),
        role_changed=_changed(pairs, lambda node: node.role, str),
        key_changed=tuple(address for address, key, now in keys if None not in (key, now) and key != now),
        key_missing=tuple(address for address, key, now in keys if key is not None and now is None),
        key_added=tuple(address for address, key, now in keys if key is None and now is not None),
        mesh=tuple(_mesh_changes(older, newer)),
        in_common=len(common),
        jaccard=jaccard(before.keys(), after.keys()),
    )


def jaccard(one: AbstractSet[str], other: AbstractSet[str]) -> float:
    """Share of all members that both sets hold, 0 to 1; 1 for two empty sets."""
    together = len(one | other)
    return len(one & other) / together if together else 1.0


def eight_bit_step(before: int, after: int) -> int:
    """Steps from one 8-bit sequence number to another, -128 to 127: 255 to 0 is one step forward."""
    return (after - before + 128) % 256 - 128


def _by_address(facts: SnapshotFacts) -> dict[str, NodeFacts]:
    return {node.extended_address: node for node in reversed(facts.nodes)}


def _changed(
    pairs: list[tuple[NodeFacts, NodeFacts]],
    fact: Callable[[NodeFacts], _Value | None],
    show: Callable[[_Value], str],
) -> tuple[NodeChange, ...]:
    changes = []
    for one, other in pairs:
        before, after = fact(one), fact(other)
        if before is not None and after is not None and before != after:
            changes.append(NodeChange(one.extended_address, show(before), show(after)))
    return tuple(changes)


def _mesh_changes(older: SnapshotFacts, newer: SnapshotFacts) -> Iterator[MeshChange]:
    yield from _identity_changes(older, newer)
    yield from _key_changes(older, newer)
    yield from _air_changes(older, newer)


def _identity_changes(older: SnapshotFacts, newer: SnapshotFacts) -> Iterator[MeshChange]:
    for fact, before, after in (
        (MeshFact.HEAD_ADDRESS, older.head_address, newer.head_address),
        (MeshFact.EXTENDED_PAN_ID, older.extended_pan_id, newer.extended_pan_id),
    ):
        if before != after:
            meaning = "this is another mesh: older copies do not belong to it"
            yield MeshChange(
                fact, show_eui64(before), show_eui64(after), OlderCopies.OF_ANOTHER_MESH, meaning
            )


def _key_changes(older: SnapshotFacts, newer: SnapshotFacts) -> Iterator[MeshChange]:
    same_key = older.network_key == newer.network_key
    if not same_key:
        meaning = "older copies hold a key that the mesh no longer accepts"
        yield MeshChange(MeshFact.NETWORK_KEY, HIDDEN, HIDDEN, OlderCopies.LOCKED_OUT, meaning)
    step = eight_bit_step(older.key_sequence, newer.key_sequence)
    if step:
        meaning = f"the key sequence went {'on' if step > 0 else 'back'} by {abs(step)}"
        before, after = str(older.key_sequence), str(newer.key_sequence)
        yield MeshChange(MeshFact.KEY_SEQUENCE, before, after, OlderCopies.LOCKED_OUT, meaning)
    if same_key and not step and newer.outgoing_counter < older.outgoing_counter:
        meaning = "under one key a counter only rises: re-formed, an older file, or the wrong home"
        before, after = str(older.outgoing_counter), str(newer.outgoing_counter)
        yield MeshChange(MeshFact.COUNTER, before, after, OlderCopies.SUSPECT, meaning)
    seeds = (older.link_key_seed, newer.link_key_seed)
    if None not in seeds and seeds[0] != seeds[1]:
        meaning = "derived link keys follow from the seed: one of the two copies does not fit the devices"
        yield MeshChange(MeshFact.LINK_KEY_SEED, HIDDEN, HIDDEN, OlderCopies.SUSPECT, meaning)


def _air_changes(older: SnapshotFacts, newer: SnapshotFacts) -> Iterator[MeshChange]:
    known = older.update_id is not None and newer.update_id is not None
    step = eight_bit_step(older.update_id or 0, newer.update_id or 0) if known else 0
    announced = "" if not known or step > 0 else ", though the update id was not raised"
    meaning = "an older copy must be tuned to it before it is written" + announced
    if older.channel != newer.channel:
        before, after = str(older.channel), str(newer.channel)
        yield MeshChange(MeshFact.CHANNEL, before, after, OlderCopies.NEED_RETUNING, meaning)
    if older.pan_id != newer.pan_id:
        before, after = show_pan_id(older.pan_id), show_pan_id(newer.pan_id)
        yield MeshChange(MeshFact.PAN_ID, before, after, OlderCopies.NEED_RETUNING, meaning)
    if step:
        verdict = OlderCopies.UNTOUCHED if step > 0 else OlderCopies.SUSPECT
        meaning = f"the network update id went {'on' if step > 0 else 'back'} by {abs(step)}"
        yield MeshChange(MeshFact.UPDATE_ID, str(older.update_id), str(newer.update_id), verdict, meaning)
