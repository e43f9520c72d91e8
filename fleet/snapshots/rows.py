"""Lists of a document as rows, in whichever form they stand there.

A list of items; an object whose members are the items, such as one keyed by address; lists side by side that
hold one column each. Items may stand inside items of another list, as children do inside their parents.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.expressions import Expression, ExpressionError, compile_expression
from fleet.snapshots.paths import shown

MOST_COLUMNS = 256
"""Lists side by side beyond these are not looked at."""


class NoRowsError(ExpressionError):
    """There is nothing where rows should be."""


class Form(StrEnum):
    """How rows stand in a document."""

    LIST = "list"
    KEYED = "keyed"
    COLUMNS = "columns"


class Source(StrEnum):
    """Where a value of a row is looked for.

    The item itself; the name under which it stands (in an object keyed by address); the item around it; the
    name of the item around it; the top of the document, which is the same for all rows.
    """

    ITEM = "item"
    NAME = "name"
    AROUND = "around"
    AROUND_NAME = "around_name"
    TOP = "top"


@dataclass(frozen=True, slots=True)
class Rows:
    """Where rows stand: an expression from the top of the document, or from each item of the rows around.

    again: and from each item so found, to any depth, as children stand inside their parents.
    """

    items: str
    form: Form = Form.LIST
    within: "Rows | None" = None
    again: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One item. place is for people: "devices[3]"; top is the document."""

    place: str
    item: JsonValue = field(repr=False)
    name: str = field(default="", repr=False)
    around: "Row | None" = field(default=None, repr=False)
    top: JsonValue = field(default=None, repr=False)

    def find(self, source: Source, expression: Expression) -> JsonValue:
        """The value that the expression finds from there, None where there is nothing."""
        if source is Source.NAME:
            return self.name
        if source is Source.ITEM:
            return expression.search(self.item)
        if source is Source.TOP:
            return expression.search(self.top)
        if self.around is None:
            return None
        return self.around.name if source is Source.AROUND_NAME else expression.search(self.around.item)


def rows_of(document: JsonValue, rows: Rows) -> Iterator[Row]:
    """Every row in order of appearance. Raises ExpressionError where there is no list or object."""
    expression = compile_expression(rows.items)
    if rows.within is None:
        found = expression.search(document)
        if found is None:
            raise NoRowsError(f"a list or an object at {rows.items}")
        if not isinstance(found, list | dict):
            wanted = "a list" if rows.form is Form.LIST else "an object or a list"
            raise ExpressionError(f"{wanted} at {rows.items}, not {shown(found)}")
        yield from spread(found, rows.form, rows.items, None, document)
        return
    for around in rows_of(document, rows.within):
        yield from _inside(around, rows, expression)


def _inside(around: Row, rows: Rows, expression: Expression) -> Iterator[Row]:
    found = expression.search(around.item)
    for row in spread(found, rows.form, f"{around.place}.{rows.items}", around, around.top):
        yield row
        if rows.again:
            yield from _inside(row, rows, expression)


def spread(
    found: JsonValue, form: Form, place: str, around: Row | None = None, top: JsonValue = None
) -> Iterator[Row]:
    """The rows of one list or object; none of anything else."""
    if form is Form.COLUMNS:
        for number, item in _side_by_side(found):
            yield Row(f"{place}, row {number}", item, "", around, top)
    elif isinstance(found, list) and form is Form.LIST:
        for number, item in enumerate(found):
            yield Row(f"{place}[{number}]", item, "", around, top)
    elif isinstance(found, dict) and form is Form.KEYED:
        for name, item in found.items():
            yield Row(f"{place}[{shown(name)}]", item, name, around, top)


def _side_by_side(found: JsonValue) -> Iterator[tuple[int, JsonValue]]:
    """Row n takes the n-th value of each list: an object from an object of lists, a list from a list of lists.

    The length that most lists have is the number of rows; lists of another length are no columns.
    """
    names = (
        list(found) if isinstance(found, dict) else list(range(len(found))) if isinstance(found, list) else []
    )
    lists = {name: column for name in names[:MOST_COLUMNS] if (column := _list_at(found, name))}
    lengths = Counter(map(len, lists.values()))
    length = max(lengths, key=lambda length: (lengths[length], length), default=0)
    columns = {name: column for name, column in lists.items() if len(column) == length}
    last = max((name for name in columns if isinstance(name, int)), default=-1)
    for number in range(length):
        values = {name: column[number] for name, column in columns.items()}
        item: JsonValue = [values.get(name) for name in range(last + 1)]
        if isinstance(found, dict):
            item = {str(name): value for name, value in values.items()}
        yield number, item


def _list_at(found: JsonValue, name: str | int) -> list[JsonValue]:
    value = found[name] if isinstance(found, dict | list) else None  # type: ignore[index]
    return value if isinstance(value, list) else []
