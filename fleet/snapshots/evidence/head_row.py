"""The row of the head radio, where it stands among the nodes."""

from collections.abc import Iterator
from typing import NamedTuple

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


class HeadRow(NamedTuple):
    """The address of the head's row. is_plain: a guide finds it by its short address or role."""

    address: int
    is_plain: bool


def head_in_list(document: JsonValue, found: ListOfNodes) -> HeadRow | None:
    """The only row with short address 0, else with the role head, else the one with facts of the mesh."""
    roles = rank(NodeFact.ROLE, list(role_hints(found.choosing.free, len(found.nodes.table.sample), (), ())))
    role = roles[0].found if roles else None
    wanted: tuple[tuple[Found | None, Kind, object], ...] = (
        (found.short, Kind.SHORT, 0),
        (role, Kind.ROLE, Role.HEAD),
    )
    for column, kind, value in wanted:
        heads = [] if column is None else list(_rows_with(document, found, column, kind, value))
        if len(heads) == 1:
            return _head_row(found, heads[0], True)
    row = found.mesh_row
    return None if row is None else _head_row(found, found.nodes.table.sample[row], False)


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


def _head_row(found: ListOfNodes, row: Row, is_plain: bool) -> HeadRow | None:
    column = found.nodes.column
    try:
        value = row.find(column.source, compile_expression(column.expression))
        return HeadRow(int(str(reader_for(Kind.ADDRESS, found.nodes.reading).read(value)), 16), is_plain)
    except (ExpressionError, ReadingError):
        return None
