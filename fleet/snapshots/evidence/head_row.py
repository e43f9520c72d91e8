"""The row of the head radio, where it stands among the nodes."""

from collections.abc import Iterator

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.categories import role_hints
from fleet.snapshots.evidence.node_numbers import Found
from fleet.snapshots.evidence.nodes import ListOfNodes
from fleet.snapshots.evidence.ranking import rank
from fleet.snapshots.expressions import ExpressionError, compile_expression
from fleet.snapshots.facts import Role
from fleet.snapshots.guide_facts import Kind, NodeFact
from fleet.snapshots.notations import ReadingError
from fleet.snapshots.readings import reader_for
from fleet.snapshots.rows import Row, rows_of


def head_in_list(document: JsonValue, found: ListOfNodes) -> int | None:
    """The address of the only row with short address 0, else of the only one with the role head."""
    roles = rank(NodeFact.ROLE, list(role_hints(found.choosing.free, len(found.nodes.table.sample), (), ())))
    role = roles[0].found if roles else None
    wanted: tuple[tuple[Found | None, Kind, object], ...] = (
        (found.short, Kind.SHORT, 0),
        (role, Kind.ROLE, Role.HEAD),
    )
    for column, kind, value in wanted:
        heads = [] if column is None else list(_rows_with(document, found, column, kind, value))
        if len(heads) == 1:
            return _address(found, heads[0])
    return None


def head_rows(found: ListOfNodes, head: int | None) -> list[int]:
    """The numbers of the rows looked at that have the head's address."""
    listed = found.nodes
    return [row for row, number in listed.numbers.by_row.items() if listed.right_way(number) == head]


def _rows_with(
    document: JsonValue, found: ListOfNodes, column: Found, kind: Kind, wanted: object
) -> Iterator[Row]:
    """Among all rows, not only those looked at."""
    reader = reader_for(kind, column.reading, column.words)
    expression = compile_expression(column.column.expression)
    try:
        for row in rows_of(document, found.nodes.table.rows):
            value = row.find(column.column.source, expression)
            try:
                if value is not None and reader.read(value) == wanted:
                    yield row
            except ReadingError:
                continue
    except ExpressionError:
        return


def _address(found: ListOfNodes, row: Row) -> int | None:
    column = found.nodes.column
    try:
        value = row.find(column.source, compile_expression(column.expression))
        return int(str(reader_for(Kind.ADDRESS, found.nodes.reading).read(value)), 16)
    except (ExpressionError, ReadingError):
        return None
