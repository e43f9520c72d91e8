"""Which list holds the nodes: the one whose rows have the most different 64-bit addresses, one in each row."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.byte_order import NO_SIGN, Order, order_of, turn
from fleet.snapshots.evidence.columns import Column, Numbers
from fleet.snapshots.evidence.sights import ADDRESS, KEY, SHORT, sights
from fleet.snapshots.evidence.tables import Table
from fleet.snapshots.expressions import ExpressionError, compile_expression
from fleet.snapshots.readings import TURNED, Reading
from fleet.snapshots.rows import Form, Source, rows_of

MOST_LOOKED_AT = 60_000
"""Addresses of whole lists that are read, all lists together; of larger ones only a sample is."""

_LEAST_FILLED = 0.85
_LEAST_DISTINCT = 0.9
_EPOCH_NUMBERS = ((10**15, 4 * 10**15), (10**18, 4 * 10**18))
"""Microseconds and nanoseconds since 1970 between 2001 and 2096 look like addresses that share their first octets."""


@dataclass(slots=True, repr=False, eq=False)
class NodeList:
    """A list with an address in each row. addresses: all of them, as they stand, in the order of the rows."""

    table: Table
    column: Column
    numbers: Numbers
    addresses: list[int]
    order: Order = NO_SIGN
    distinct: frozenset[int] = field(init=False)

    def __post_init__(self) -> None:
        self.distinct = frozenset(self.addresses)

    @property
    def count(self) -> int:
        """How many rows it has; of a list in pieces what was found."""
        return len(self.addresses) if self.table.is_inside else self.table.total

    @property
    def right(self) -> frozenset[int]:
        """All addresses the right way round."""
        return frozenset(map(turn, self.distinct)) if self.order.turned else self.distinct

    @property
    def reading(self) -> Reading:
        """How its addresses are read, the order of octets included."""
        return TURNED[self.numbers.reading] if self.order.turned else self.numbers.reading

    def right_way(self, number: int) -> int:
        """An address as it stands in this list -> as it is."""
        return turn(number) if self.order.turned else number


def address_lists(document: JsonValue, tables: list[Table]) -> list[NodeList]:
    """Every list with a 64-bit address of its own in each row."""
    lists, left = [], MOST_LOOKED_AT
    for table in tables:
        for column, numbers in _address_columns(table):
            cost = table.total * (len(table.columns) if table.rows.form is Form.COLUMNS else 1)
            addresses = (
                _every(document, table, column, numbers) if cost <= left else list(numbers.by_row.values())
            )
            left -= cost if cost <= left else 0
            lists.append(NodeList(table, column, numbers, addresses))
    for found in lists:
        found.order = order_of(found.addresses)
    return lists


def _address_columns(table: Table) -> Iterator[tuple[Column, Numbers]]:
    for column in table.columns:
        numbers = column.numbers(ADDRESS)
        if numbers is None or not table.sample or len(numbers.by_row) < _LEAST_FILLED * len(table.sample):
            continue
        if numbers.distinct >= _LEAST_DISTINCT * len(numbers.by_row) and not _are_times(numbers):
            yield column, numbers


def _are_times(numbers: Numbers) -> bool:
    values = numbers.by_row.values()
    return numbers.reading is Reading.NUMBER and any(
        all(low <= value < high for value in values) for low, high in _EPOCH_NUMBERS
    )


def _every(document: JsonValue, table: Table, column: Column, numbers: Numbers) -> list[int]:
    """The addresses of all rows, not only of those looked at: others point at them."""
    values = every_value(document, table, column)
    found = [sight for value in values for sight in sights(value) if sight.width == ADDRESS]
    return [sight.number for sight in found if sight.reading is numbers.reading]


def every_value(document: JsonValue, table: Table, column: Column) -> list[JsonValue]:
    """A column's values in all rows, or in those looked at where there are too many."""
    if len(table.sample) >= table.total or table.total > MOST_LOOKED_AT:
        return list(column.values.values())
    expression = compile_expression(column.expression)
    try:
        return [row.find(column.source, expression) for row in rows_of(document, table.rows)]
    except ExpressionError:
        return list(column.values.values())


def richness(found: NodeList) -> float:
    """Rows of nodes tell more than rows that only point at nodes."""
    others = [column for column in found.table.columns if column is not found.column]
    has_short = any(_is_own(column.numbers(SHORT), len(found.table.sample)) for column in others)
    has_key = any(column.numbers(KEY) for column in others)
    return (
        0.15 * has_short
        + 0.05 * has_key
        + 0.1 * min(1.0, len(others) / 6)
        + 0.05 * (found.column.source is Source.NAME)
    )


def _is_own(numbers: Numbers | None, rows: int) -> bool:
    return numbers is not None and numbers.distinct >= _LEAST_DISTINCT * rows


def is_pointed_at(found: NodeList, family: frozenset[int], lists: Sequence[NodeList]) -> bool:
    """Another column or list holds some of the same addresses. family: those of further lists of its sort too."""
    for other in lists:
        if other.column.steps != found.column.steps and other.distinct <= family:
            return True
    for column in found.table.columns:
        numbers = column.numbers(ADDRESS) if column is not found.column else None
        if numbers is not None and found.distinct.issuperset(list(numbers.by_row.values())[:3]):
            return True
    return False
