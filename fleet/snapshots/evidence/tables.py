"""Lists of a document as tables: a sample of their rows, and the columns that these have."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.columns import Column
from fleet.snapshots.evidence.sights import is_channels, is_octets
from fleet.snapshots.expressions import MOST_CHARACTERS, expression_of
from fleet.snapshots.guided_values import is_nothing
from fleet.snapshots.keyed import alike, named_by_addresses, shared_names
from fleet.snapshots.paths import Path
from fleet.snapshots.rows import Form, Row, Rows, Source, spread

MOST_ROWS = 200
"""Rows of one list that are looked at, evenly spread."""
MOST_COLUMNS = 64
MOST_LEVELS = 8
_LOOKED_AT = 24
_LEAST_ALIKE = 0.5


@dataclass(slots=True, repr=False, eq=False)
class Inner:
    """A list or keyed object that stands inside rows of another list, all its instances together."""

    steps: tuple[str | int, ...]
    form: Form
    found: list[tuple[int, JsonValue]] = field(default_factory=list)

    def is_one_list(self, around: list[Row]) -> bool:
        """Whether all instances together are one list: their rows are of one sort.

        A single instance among several rows is a list of its own, unless its rows are like those around it.
        """
        rows = [item for _, value in self.found for item in _rows_of(value)][:_LOOKED_AT]
        if (
            len(self.found) == 1 < len(around)
            and shared_names(rows, [row.item for row in around]) < _LEAST_ALIKE
        ):
            return False
        if all(isinstance(row, dict) for row in rows):
            return len(rows) == 1 or alike(rows) >= _LEAST_ALIKE
        return len({len(row) if isinstance(row, list) else type(row) for row in rows}) == 1


@dataclass(slots=True, repr=False, eq=False)
class Table:
    """A list of the document. path: where it stands, or where the list around it stands.

    rows: how a guide finds it. total: how many rows there are in all. around: the number of the row around each
    row looked at, in the table around. beside: the names of its columns, where these are lists side by side.
    """

    path: Path
    rows: Rows
    total: int
    sample: list[Row]
    within: "Table | None" = None
    around: list[int] = field(default_factory=list)
    columns: list[Column] = field(default_factory=list)
    inner: list[Inner] = field(default_factory=list)
    inner_names: tuple[str, ...] = ()
    inner_steps: tuple[str | int, ...] = ()
    looked_at: int = 0
    beside: frozenset[str | int] = frozenset()

    @property
    def path_names(self) -> tuple[str, ...]:
        """The names on the way to it."""
        return (*(step for step in self.path if isinstance(step, str)), *self.inner_names)

    @property
    def pattern(self) -> tuple[str | int | None, ...]:
        """Its path, with None for the number or name of a row of the lists around it."""
        return self.path if self.within is None else (*self.within.pattern, None, *self.inner_steps)

    def covers(self, path: Path) -> bool:
        """Whether a place belongs to the list. Beside columns other values may stand, which do not."""
        pattern = self.pattern
        if len(path) < len(pattern) or any(
            wanted not in (None, step) for wanted, step in zip(pattern, path, strict=False)
        ):
            return False
        beyond = path[len(pattern) :]
        return self.rows.form is not Form.COLUMNS or (bool(beyond) and beyond[0] in self.beside)

    @property
    def is_inside(self) -> bool:
        """True for a list inside the rows of another."""
        return self.within is not None


def _rows_of(value: JsonValue) -> list[JsonValue]:
    if isinstance(value, dict):
        return list(islice(value.values(), _LOOKED_AT))
    return value[:_LOOKED_AT] if isinstance(value, list) else []


def sampled(value: JsonValue, form: Form, expression: str) -> list[Row]:
    """At most MOST_ROWS rows, evenly spread, the first always among them."""
    if form is Form.LIST and isinstance(value, list):
        step = max(1, -(-len(value) // MOST_ROWS))
        return [Row(f"{expression}[{place}]", value[place]) for place in range(0, len(value), step)]
    rows = list(spread(value, form, expression))
    return rows[:: max(1, -(-len(rows) // MOST_ROWS))]


def total_rows(value: JsonValue, form: Form) -> int:
    """How many rows there are in all."""
    if form is Form.COLUMNS:
        columns = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
        return max((len(column) for column in columns if isinstance(column, list)), default=0)
    return len(value) if isinstance(value, list | dict) else 0


def fill(table: Table, budget: int, heading: Sequence[str] = ()) -> int:
    """Find the columns and inner lists of a table. Gives the number of values looked at, about budget at most."""
    columns: dict[tuple[str | int, ...], Column] = {}
    inner: dict[tuple[tuple[str | int, ...], Form], Inner] = {}
    spent = 0
    for number, row in enumerate(table.sample):
        if spent >= budget:
            break
        for steps, value in _parts(row.item):
            spent += 1
            if not isinstance(value, list | dict) or is_octets(value):
                column = columns.get(steps)
                if column is None and len(columns) < MOST_COLUMNS and _is_short(steps):
                    column = columns[steps] = Column(Source.ITEM, steps, {}, _names(steps, heading))
                if column is not None:
                    column.values[number] = value
            elif not is_channels(value):
                form = Form.LIST if isinstance(value, list) else Form.KEYED
                inner.setdefault((steps, form), Inner(steps, form)).found.append((number, value))
    table.columns = list(columns.values())
    if table.rows.form is Form.KEYED:
        names: dict[int, JsonValue] = {number: row.name for number, row in enumerate(table.sample)}
        table.columns.insert(0, Column(Source.NAME, (), names))
    table.inner = list(inner.values())
    return spent


def _parts(item: JsonValue) -> Iterator[tuple[tuple[str | int, ...], JsonValue]]:
    """What stands in an item: single values, octets, and lists and keyed objects as a whole."""
    waiting: list[tuple[tuple[str | int, ...], JsonValue]] = [((), item)]
    if isinstance(item, list) and not is_octets(item):
        waiting = [((place,), part) for place, part in enumerate(item[:MOST_COLUMNS])]
    while waiting:
        steps, value = waiting.pop(0)
        if is_nothing(value):
            continue
        if isinstance(value, dict) and not is_octets(value) and not named_by_addresses(value):
            if len(steps) < MOST_LEVELS:
                waiting += [((*steps, name), part) for name, part in list(value.items())[:MOST_COLUMNS]]
        else:
            yield steps, value


def _is_short(steps: tuple[str | int, ...]) -> bool:
    return len(expression_of(steps)) <= MOST_CHARACTERS


def _names(steps: tuple[str | int, ...], heading: Sequence[str]) -> tuple[str, ...]:
    if len(steps) == 1 and isinstance(steps[0], int) and steps[0] < len(heading):
        return (heading[steps[0]],)
    return tuple(step for step in steps if isinstance(step, str))
