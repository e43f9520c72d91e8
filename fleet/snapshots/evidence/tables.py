"""Lists of a document as tables: a sample of their rows, and the columns that these have."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.columns import Column
from fleet.snapshots.evidence.sights import is_channels, is_octets
from fleet.snapshots.guided_values import is_nothing
from fleet.snapshots.keyed import named_by_addresses
from fleet.snapshots.paths import Path
from fleet.snapshots.rows import Form, Row, Rows, Source, spread

MOST_ROWS = 250
"""Rows of one list that are looked at, evenly spread."""
MOST_COLUMNS = 100
MOST_LEVELS = 8


@dataclass(slots=True, repr=False)
class Inner:
    """A list or keyed object that stands inside rows of another list, all its instances together."""

    steps: tuple[str | int, ...]
    form: Form
    found: list[tuple[int, JsonValue]] = field(default_factory=list)


@dataclass(slots=True, repr=False)
class Table:
    """A list of the document. path: where it stands, or where the list around it stands.

    rows: how a guide finds it. total: how many rows there are in all. around: the number of the row around each
    row looked at, in the table around.
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

    @property
    def path_names(self) -> tuple[str, ...]:
        """The names on the way to it."""
        return (*(step for step in self.path if isinstance(step, str)), *self.inner_names)

    @property
    def is_inside(self) -> bool:
        """True for a list inside the rows of another."""
        return self.within is not None


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
    inner: dict[tuple[str | int, ...], Inner] = {}
    spent = 0
    for number, row in enumerate(table.sample):
        if spent >= budget:
            break
        for steps, value in _parts(row.item):
            spent += 1
            if not isinstance(value, list | dict) or is_octets(value):
                column = columns.get(steps)
                if column is None and len(columns) < MOST_COLUMNS:
                    column = columns[steps] = Column(Source.ITEM, steps, {}, _names(steps, heading))
                if column is not None:
                    column.values[number] = value
            elif not is_channels(value):
                form = Form.LIST if isinstance(value, list) else Form.KEYED
                inner.setdefault(steps, Inner(steps, form)).found.append((number, value))
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


def _names(steps: tuple[str | int, ...], heading: Sequence[str]) -> tuple[str, ...]:
    if len(steps) == 1 and isinstance(steps[0], int) and steps[0] < len(heading):
        return (heading[steps[0]],)
    return tuple(step for step in steps if isinstance(step, str))
