"""Counters that fall from one document of a mesh to the next, before any of them is in the book.

Under one key a frame counter never goes down (IEEE 802.15.4, Zigbee specification): one that does was read
wrongly, or a radio started from an old number.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from fleet.snapshots.facts import SnapshotFacts


@dataclass(frozen=True, slots=True)
class Fall:
    """A counter that fell. node: the address of the device whose it is; empty for the network's own."""

    node: str
    earlier: int
    later: int


def in_order(told: Sequence[SnapshotFacts]) -> Iterator[tuple[int, int]]:
    """The numbers of each two of one mesh that follow each other: by capture time, or as given where one has none."""
    meshes: dict[str, list[int]] = {}
    for number, facts in enumerate(told):
        meshes.setdefault(facts.extended_pan_id, []).append(number)
    for numbers in meshes.values():
        dated = [(when, number) for number in numbers if (when := told[number].taken_at) is not None]
        yield from pairwise(
            [number for _, number in sorted(dated)] if len(dated) == len(numbers) else numbers
        )


def fallen(earlier: SnapshotFacts, later: SnapshotFacts) -> tuple[Fall, ...]:
    """The counters of both that are lower in the later one, the network's first, each under its own key."""
    found = []
    same_key = earlier.network_key == later.network_key and earlier.key_sequence == later.key_sequence
    if same_key and later.outgoing_counter < earlier.outgoing_counter:
        found.append(Fall("", earlier.outgoing_counter, later.outgoing_counter))
    known = {node.extended_address: node for node in earlier.nodes}
    for node in later.nodes:
        old = known.get(node.extended_address)
        if old is None or old.link_key != node.link_key:
            continue
        before, now = old.outgoing_counter, node.outgoing_counter
        if before is not None and now is not None and now < before:
            found.append(Fall(node.extended_address, before, now))
    return tuple(found)
