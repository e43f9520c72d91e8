"""All lists of a document that hold nodes, and by what names their rows are known."""

from collections.abc import Sequence
from dataclasses import dataclass

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.byte_order import order_of
from fleet.snapshots.evidence.columns import Column
from fleet.snapshots.evidence.node_facts import Choosing, columns_around
from fleet.snapshots.evidence.node_lists import NodeList, address_lists, every_value, ranked_lists
from fleet.snapshots.evidence.node_numbers import Found, short_hints
from fleet.snapshots.evidence.ranking import Ranked
from fleet.snapshots.evidence.sights import ADDRESS, SHORT, sights
from fleet.snapshots.evidence.survey import Survey
from fleet.snapshots.evidence.tables import Table
from fleet.snapshots.guide_facts import NodeFact
from fleet.snapshots.readings import TURNED, Reading

_CLEAR_ORDER = 0.3
_MOST_SHARED = 0.05
_LEAST_ALIKE = 0.5
_LEAST_ALIKE_NESTED = 0.3
_LEFT = frozenset(
    {"left", "gone", "removed", "former", "deleted", "blocked", "banned", "lost", "old"}
    | {"stale", "foreign", "unknown", "pending", "previous", "retired"}
)


@dataclass(slots=True, repr=False)
class ListOfNodes:
    """A list whose rows are nodes. choosing: its other columns; short: the best column of short addresses."""

    nodes: NodeList
    choosing: Choosing
    short: Found | None
    confidence: float
    reason: str


@dataclass(slots=True, repr=False)
class Nodes:
    """The lists of nodes, the main one first; other: all lists with addresses that are not among them."""

    lists: list[ListOfNodes]
    alternatives: list[Ranked[NodeList]]
    right: frozenset[int]
    shorts: frozenset[int]

    @property
    def main(self) -> ListOfNodes:
        """The list with the most nodes."""
        return self.lists[0]

    @property
    def tables(self) -> list[Table]:
        """Of all lists of nodes."""
        return [found.nodes.table for found in self.lists]


def find_nodes(seen: Survey) -> Nodes | None:
    """The lists of nodes of a document, or None where no list has addresses of its own."""
    lists = address_lists(seen.document, seen.tables)
    ranked = ranked_lists(lists)
    if not ranked:
        return None
    main = ranked[0].found
    if main.order.strength < _CLEAR_ORDER:
        main.order = order_of(_every_address(seen, main.numbers.reading))
    for other in lists:
        if other.numbers.reading is main.numbers.reading:
            other.order = main.order
    first = _list_of_nodes(main, ranked[0].confidence, ranked[0].reason)
    found = Nodes([first], ranked[1:], main.right, _shorts(seen.document, first))
    for other in lists:
        if (
            other.table not in found.tables
            and other.right
            and _overlap(other.right, found.right) <= _MOST_SHARED
        ):
            more = _further(seen.document, other, found)
            if more is not None:
                found.lists.append(more)
                found.right |= other.right
                found.shorts |= _shorts(seen.document, more)
    return found


def _every_address(seen: Survey, reading: Reading) -> list[int]:
    columns = [column for table in seen.tables for column in table.columns] + [
        place.column for place in seen.places
    ]
    found = [
        numbers for column in columns if (numbers := column.numbers(ADDRESS)) and numbers.reading is reading
    ]
    return [number for numbers in found for number in numbers.by_row.values()]


def _list_of_nodes(nodes: NodeList, confidence: float, reason: str) -> ListOfNodes:
    table = nodes.table
    free = [column for column in (*table.columns, *columns_around(table)) if column is not nodes.column]
    choosing = Choosing(free)
    own = [column for column in free if column in table.columns]
    octets_are_turned = nodes.order.turned and nodes.numbers.reading is Reading.OCTETS
    hints = short_hints(own, len(table.sample), octets_are_turned)
    short = choosing.choose(NodeFact.SHORT_ADDRESS, hints)
    return ListOfNodes(nodes, choosing, short.found if short else None, confidence, reason)


def _shorts(document: JsonValue, found: ListOfNodes) -> frozenset[int]:
    """All short addresses of a list, as they stand."""
    if found.short is None:
        return frozenset()
    notation = found.short.reading
    return frozenset(
        sight.number
        for value in every_value(document, found.nodes.table, found.short.column)
        for sight in sights(value)
        if sight.width == SHORT and notation in (sight.reading, TURNED.get(sight.reading))
    )


def _overlap(some: frozenset[int], others: frozenset[int]) -> float:
    return len(some & others) / len(some)


def _further(document: JsonValue, other: NodeList, found: Nodes) -> ListOfNodes | None:
    """Another list of nodes: none of its addresses in the first, and rows of the same sort."""
    more = _list_of_nodes(other, 0.75, "")
    main = found.main
    shorts = _shorts(document, more)
    same_shorts = bool(shorts) and main.short is not None and more.short is not None
    same_shorts = same_shorts and _overlap(shorts, found.shorts) <= _MOST_SHARED
    is_nested = _is_nested(other.table, found.tables)
    likeness = max(_likeness(other.table, table) for table in found.tables)
    if not same_shorts and likeness < (_LEAST_ALIKE_NESTED if is_nested else _LEAST_ALIKE):
        return None
    count = len(other.distinct)
    more.reason = (
        f"{count} further 64-bit addresses, none of them in the first list, in rows of the same sort"
    )
    if _LEFT & {
        token.lower() for name in other.table.path_names for token in name.replace("-", "_").split("_")
    }:
        more.confidence = 0.4
        more.reason += "; by its name they may have left the mesh"
    return more


def _is_nested(table: Table, others: Sequence[Table]) -> bool:
    return any(table.within is other or other.within is table for other in others)


def _likeness(table: Table, other: Table) -> float:
    mine, theirs = _steps(table.columns), _steps(other.columns)
    return len(mine & theirs) / max(2, len(mine | theirs))


def _steps(columns: Sequence[Column]) -> set[tuple[str | int, ...]]:
    return {column.steps for column in columns}
