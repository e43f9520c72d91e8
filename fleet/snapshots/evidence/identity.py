"""The head's own address and the extended PAN ID: 64-bit values that are no node's."""

from collections import Counter
from collections.abc import Iterator
from itertools import product
from typing import NamedTuple

from fleet.snapshots.evidence.byte_order import order_of, turn
from fleet.snapshots.evidence.head_row import HeadRow
from fleet.snapshots.evidence.moments import moment
from fleet.snapshots.evidence.names import name_score
from fleet.snapshots.evidence.ranking import BY_NAME_MOST, EQUAL, UNDECIDED, Ranked
from fleet.snapshots.evidence.scene import IN_ROW, FoundPlace, Scene
from fleet.snapshots.evidence.sights import ADDRESS, SHORT
from fleet.snapshots.evidence.survey import Place
from fleet.snapshots.guide_facts import Fact
from fleet.snapshots.readings import TURNED

_UNSET = frozenset({0, 2**64 - 1})
_HEAD_IN_LIST = 0.9
_MOST_LOOKED_AT = 12
_MAKER_BITS = 40
_MOST_OF_ONE = 2
_MOST_OTHERS = 4
_SAME_VALUE = 0.15
_MOST_ALIKE = 0.7


class Wide(NamedTuple):
    """A 64-bit value the right way round as far as can be told; how well it fits as head and as network."""

    found: FoundPlace
    number: int
    as_head: float
    why_head: str
    as_network: float
    why_network: str

    def __repr__(self) -> str:
        """Short."""
        return f"Wide({self.number:016X})"


class _Fit(NamedTuple):
    found: FoundPlace
    score: float
    why: str


class _Pair(NamedTuple):
    head: Wide | None
    network: Wide | None
    value: float
    name: float


def choose_identity(scene: Scene, votes: dict[int, float], head_row: HeadRow | None) -> int | None:
    """Take the places of head address and extended PAN ID, the pair that fits best. Gives the head's address.

    votes: addresses from outside the lists that parents point at, with how sure that is; head_row: the row that
    is the head's, if there is one.
    """
    of_row = head_row.address if head_row is not None else None
    without_head = _HEAD_IN_LIST if head_row is not None and head_row.is_plain else 0.0
    values = _few_of_each(
        sorted(_wide_values(scene, votes, of_row), key=lambda wide: -max(wide.as_head, wide.as_network))
    )[:_MOST_LOOKED_AT]
    pairs = [
        _pair(head, network, without_head)
        for head, network in product([None, *values], [None, *values])
        if head is not network or head is None
    ]
    most = max(pair.value for pair in pairs)
    equals = [pair for pair in pairs if pair.value > most - EQUAL]
    best = max(equals, key=lambda pair: (pair.name, pair.value))
    if best.network is not None:
        rivals = [pair.name for pair in equals if pair.network is not best.network]
        others = [
            _Fit(wide.found, wide.as_network, wide.why_network) for wide in values if wide is not best.network
        ]
        first = _Fit(best.network.found, best.network.as_network, best.network.why_network)
        _take(scene, Fact.EXTENDED_PAN_ID, first, others, best.name, rivals)
    if best.head is None:
        return of_row
    rivals = [pair.name for pair in equals if pair.head is not best.head]
    others = [_Fit(wide.found, wide.as_head, wide.why_head) for wide in values if wide is not best.head]
    first = _Fit(best.head.found, best.head.as_head, best.head.why_head)
    _take(scene, Fact.HEAD_ADDRESS, first, others, best.name, rivals)
    return best.head.number


def _take(
    scene: Scene, fact: Fact, first: _Fit, others: list[_Fit], name: float, rivals: list[float]
) -> None:
    ranked = sorted(others, key=lambda fit: -fit.score)[:_MOST_OTHERS]
    rest = [Ranked(fit.found, fit.score * UNDECIDED, fit.why) for fit in ranked]
    scene.chosen[fact] = [_ranked(first, name, rivals), *rest]
    scene.take(first.found.place)


def _few_of_each(values: list[Wide]) -> list[Wide]:
    """At most two places of one value, those outside of lists first: a list may hold the head's address often."""
    outside = sorted(values, key=lambda wide: wide.found.place.in_row)
    counts: Counter[int] = Counter()
    kept = set()
    for wide in outside:
        counts[wide.number] += 1
        if counts[wide.number] <= _MOST_OF_ONE:
            kept.add(id(wide))
    return [wide for wide in values if id(wide) in kept]


def _pair(head: Wide | None, network: Wide | None, without_head: float) -> _Pair:
    value = (head.as_head if head else without_head) + (network.as_network if network else 0.0)
    if head is not None and network is not None and head.number == network.number:
        value -= _SAME_VALUE
    names = (name_score(Fact.HEAD_ADDRESS, head.found.place.names) if head else 0.0) + (
        name_score(Fact.EXTENDED_PAN_ID, network.found.place.names) if network else 0.0
    )
    return _Pair(head, network, value, names)


def _ranked(fit: _Fit, name: float, rivals: list[float]) -> Ranked[FoundPlace]:
    if not rivals:
        return Ranked(fit.found, min(1.0, fit.score), fit.why)
    if name > max(rivals):
        reason = f"{fit.why}; another value fits equally well, and of these its name suits best"
        return Ranked(fit.found, min(BY_NAME_MOST, fit.score), reason, by_name=True)
    return Ranked(fit.found, fit.score * UNDECIDED, f"{fit.why}; another value fits equally well")


def _wide_values(scene: Scene, votes: dict[int, float], head_row: int | None) -> Iterator[Wide]:
    sure = set(votes) | ({head_row} if head_row is not None else set())
    for place in scene.free:
        numbers = place.column.numbers(ADDRESS)
        if numbers is None or numbers.by_row[0] in _UNSET:
            continue
        is_turned = _is_turned(numbers.by_row[0], place, scene, sure)
        number = turn(numbers.by_row[0]) if is_turned else numbers.by_row[0]
        reading = TURNED[numbers.reading] if is_turned else numbers.reading
        as_head, why_head = _as_head(number, place, scene, votes, head_row)
        as_network, why_network = _as_network(number, place, scene, sure)
        less = IN_ROW if place.in_row else 0.0
        found = FoundPlace(place, reading)
        yield Wide(
            found, number, max(0.0, as_head - less), why_head, max(0.0, as_network - less), why_network
        )


def _is_turned(number: int, place: Place, scene: Scene, sure: set[int]) -> bool:
    """By what is known of the value, then like the nodes' addresses in the same notation, then by itself."""
    both = (number, turn(number))
    if (number in sure) != (both[1] in sure):
        return both[1] in sure
    nodes = scene.nodes.main.nodes if scene.nodes is not None else None
    if nodes is not None:
        makers = {address >> _MAKER_BITS for address in nodes.right}
        if (number >> _MAKER_BITS in makers) != (both[1] >> _MAKER_BITS in makers):
            return both[1] >> _MAKER_BITS in makers
        numbers = place.column.numbers(ADDRESS)
        if numbers is not None and numbers.reading is nodes.numbers.reading:
            return nodes.order.turned
    order = order_of([number])
    return order.turned and order.strength > 0.5


def _as_head(
    number: int, place: Place, scene: Scene, votes: dict[int, float], head_row: int | None
) -> tuple[float, str]:
    if number == head_row:
        return 0.97, "the address of the row that is the head's"
    if number in votes:
        return 0.5 + votes[
            number
        ] / 2, "the address that nodes point at as their parent and that is no node's"
    if scene.nodes is not None and number in scene.nodes.right:
        return 0.1, "the address of a node"
    score, why = 0.45, "a 64-bit value that is no node's"
    if moment(place.value) is not None:
        return 0.15, "a number that could be a time"
    if number >> 56 & 1:
        score, why = 0.2, "a 64-bit value whose first octet is not that of a device"
    elif scene.nodes is not None and number >> _MAKER_BITS in {
        address >> _MAKER_BITS for address in scene.nodes.right
    }:
        score, why = 0.6, "a 64-bit value that is no node's, from a maker of the nodes"
    elif _is_like_most(number, scene):
        score, why = 0.57, "a 64-bit value that is no node's and begins like most of their addresses"
    if _has_zero_beside(place, scene):
        score, why = score + 0.15, f"{why}, with a short address 0 beside it"
    return score, why


def _is_like_most(number: int, scene: Scene) -> bool:
    """The first octet is that of most nodes."""
    if scene.nodes is None:
        return False
    same = sum(address >> 56 == number >> 56 for address in scene.nodes.right)
    return same > _MOST_ALIKE * len(scene.nodes.right)


def _has_zero_beside(place: Place, scene: Scene) -> bool:
    """In hex or octets only: a plain 0 can be anything."""
    values = [
        other.column.numbers(SHORT) for other in scene.beside(place) if isinstance(other.value, str | list)
    ]
    return any(numbers is not None and numbers.by_row[0] == 0 for numbers in values)


def _as_network(number: int, place: Place, scene: Scene, sure: set[int]) -> tuple[float, str]:
    if number in sure or (scene.nodes is not None and number in scene.nodes.right):
        return 0.2, "a 64-bit value, which is an address too"
    score, why = 0.45, "a 64-bit value that is no node's and no parent's"
    if moment(place.value) is not None:
        return 0.15, "a number that could be a time"
    if number >> 56 & 1:
        score, why = 0.6, "a 64-bit value whose first octet is not that of a device"
    if any(_is_network_like(other) for other in scene.beside(place)):
        score, why = score + 0.15, f"{why}, beside a channel and 16 bits"
    return score, why


def _is_network_like(place: Place) -> bool:
    return place.column.numbers(SHORT) is not None
