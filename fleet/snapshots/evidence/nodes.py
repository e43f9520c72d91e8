"""All lists of a document that hold nodes, and by what names their rows are known."""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.byte_order import order_of
from fleet.snapshots.evidence.columns import Column
from fleet.snapshots.evidence.families import ranked_families
from fleet.snapshots.evidence.node_facts import Choosing, columns_around
from fleet.snapshots.evidence.node_lists import NodeList, address_lists, every_value
from fleet.snapshots.evidence.node_numbers import Found, short_hints
from fleet.snapshots.evidence.sights import ADDRESS, SHORT, sights
from fleet.snapshots.evidence.survey import Survey
from fleet.snapshots.evidence.tables import Table
from fleet.snapshots.guide_facts import NodeFact
from fleet.snapshots.readings import TURNED, Reading

_CLEAR_ORDER = 0.3
_FURTHER = 0.75
_LEAST_ROWS = 4
_LEAST_APART = 3
_MAY_HAVE_LEFT = 0.4
_TOKENS = re.compile(r"[a-z]+")
_LEFT = frozenset(
    {"left", "gone", "removed", "former", "deleted", "blocked", "banned", "lost", "old"}
    | {"stale", "foreign", "unknown", "pending", "previous", "retired"}
)


@dataclass(slots=True, repr=False, eq=False)
class ListOfNodes:
    """A list whose rows are nodes. choosing: its other columns; short: the best column of short addresses.

    mesh_row: a row that has several columns to itself, mesh_columns: these hold facts of the mesh, not of a node.
    """

    nodes: NodeList
    choosing: Choosing
    short: Found | None
    confidence: float
    reason: str
    mesh_row: int | None = None
    mesh_columns: list[Column] = field(default_factory=list)


@dataclass(slots=True, repr=False, eq=False)
class Nodes:
    """The lists of nodes, the main one first. right: all addresses; shorts: all short ones, as they stand."""

    lists: list[ListOfNodes]
    alternatives: list[NodeList]
    right: frozenset[int]
    shorts: frozenset[int]

    @property
    def main(self) -> ListOfNodes:
        """The list with the most nodes."""
        return self.lists[0]

    def holds(self, table: Table) -> bool:
        """True for a list of nodes, and for a list that is only a part of one."""
        if table in self.tables:
            return True
        return table.within is None and any(other.covers(table.path) for other in self.tables)

    @property
    def tables(self) -> list[Table]:
        """Of all lists of nodes."""
        return [found.nodes.table for found in self.lists]


def find_nodes(seen: Survey) -> Nodes | None:
    """The lists of nodes of a document, or None where no list has addresses of its own."""
    lists = address_lists(seen.document, seen.tables)
    ranked = ranked_families(lists, frozenset(_single_addresses(seen)))
    if not ranked:
        return None
    family = ranked[0].found
    main = family.main
    if main.order.strength < _CLEAR_ORDER:
        main.order = order_of(_every_address(seen, main.numbers.reading))
    for other in lists:
        if other.numbers.reading is main.numbers.reading:
            other.order = main.order
    first = _list_of_nodes(main, ranked[0].confidence, ranked[0].reason)
    found = [first, *(_further(other, first) for other in family.members)]
    return Nodes(
        found,
        [other.found.main for other in ranked[1:]],
        frozenset[int]().union(*(each.nodes.right for each in found)),
        frozenset[int]().union(*(_shorts(seen.document, each) for each in found)),
    )


def _single_addresses(seen: Survey) -> Iterator[int]:
    for place in seen.places:
        numbers = None if any(isinstance(step, int) for step in place.path) else place.column.numbers(ADDRESS)
        if numbers is not None:
            yield numbers.by_row[0]


def _every_address(seen: Survey, reading: Reading) -> list[int]:
    columns = [column for table in seen.tables for column in table.columns]
    found = [
        numbers for column in columns if (numbers := column.numbers(ADDRESS)) and numbers.reading is reading
    ]
    return [number for numbers in found for number in numbers.by_row.values()]


def _list_of_nodes(
    nodes: NodeList, confidence: float, reason: str, like: ListOfNodes | None = None
) -> ListOfNodes:
    table = nodes.table
    free = [column for column in (*table.columns, *columns_around(table)) if column is not nodes.column]
    row, own_columns = _row_apart(free, len(table.sample))
    free = [column for column in free if column not in own_columns]
    choosing = Choosing(
        free, like.choosing if like is not None else None, addresses_turned=nodes.order.turned
    )
    own = [column for column in free if column in table.columns]
    octets_are_turned = nodes.order.turned and nodes.numbers.reading is Reading.OCTETS
    is_decimal = nodes.numbers.reading is Reading.NUMBER
    hints = short_hints(own, len(table.sample), octets_are_turned, is_decimal)
    short = choosing.choose(NodeFact.SHORT_ADDRESS, hints)
    return ListOfNodes(nodes, choosing, short.found if short else None, confidence, reason, row, own_columns)


def _row_apart(columns: list[Column], rows: int) -> tuple[int | None, list[Column]]:
    """The row that alone has several columns, and these: what is told of the mesh in the row of its head."""
    only = [(next(iter(column.values)), column) for column in columns if len(column.values) == 1]
    counts = Counter(row for row, _ in only)
    row, count = counts.most_common(1)[0] if counts else (0, 0)
    if rows < _LEAST_ROWS or count < _LEAST_APART:
        return None, []
    return row, [column for other, column in only if other == row]


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


def _further(other: NodeList, first: ListOfNodes) -> ListOfNodes:
    """Another list of the family. Whether its nodes have left the mesh only its name can tell."""
    count = len(other.distinct)
    reason = f"{count} further 64-bit addresses, none of them in the first list, in rows of the same sort"
    tokens = {token for name in other.table.path_names for token in _TOKENS.findall(name.lower())}
    if tokens & _LEFT:
        return _list_of_nodes(
            other, _MAY_HAVE_LEFT, f"{reason}; by its name they may have left the mesh", first
        )
    return _list_of_nodes(other, _FURTHER, reason, first)
