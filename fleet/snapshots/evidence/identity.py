"""The head's own address and the extended PAN ID: 64-bit values that are no node's."""

from typing import NamedTuple

from fleet.snapshots.evidence.scene import FoundPlace, Scene

_LIKELY = 0.45
_SURE = 0.95
_UNSET = frozenset({0, 2**64 - 1})


class Wide(NamedTuple):
    """A 64-bit value the right way round, as far as that can be told."""

    found: FoundPlace
    number: int


def choose_identity(scene: Scene, votes: dict[int, float], head_row: int | None) -> int | None:
    """Take head address and extended PAN ID. Gives the head's address.

    votes: addresses from outside the lists that parents point at; head_row: the head's address as a row has it.
    """
    wide = [
        _wide(place, scene, set(votes) | ({head_row} if head_row is not None else set()))
        for place in scene.free
    ]
    values = [found for found in wide if found is not None and found.number not in _UNSET]
    heads = {id(hint.found): hint for found in values if (hint := _head_hint(found, scene, votes, head_row))}
    networks = {id(found.found): _network_hint(found, scene, votes, head_row) for found in values}
    pair = _best_pair(list(heads.values()), list(networks.values()))
    return head_row
