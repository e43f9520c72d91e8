"""One walk through a document: its single values with their places, and its lists as tables.

Bounded whatever the document: outer things come first, so that what is left out lies deepest.
"""

from collections import deque
from dataclasses import dataclass, field
from itertools import islice
from typing import NamedTuple

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.columns import Column, of_one
from fleet.snapshots.evidence.forms import heading_of, is_plain_column, only_columns, table_form
from fleet.snapshots.evidence.sights import is_channels, is_octets
from fleet.snapshots.evidence.tables import MOST_ROWS, Inner, Table, fill, sampled, total_rows
from fleet.snapshots.evidence.where import expression_at, is_in_row, names_at
from fleet.snapshots.expressions import MOST_CHARACTERS, expression_of
from fleet.snapshots.guided_values import is_nothing
from fleet.snapshots.paths import Path
from fleet.snapshots.rows import Form, Row, Rows, spread

MOST_VALUES = 25_000
"""Looked at in the walk, and as many again in lists inside lists."""
MOST_PLACES = 3_000
MOST_TABLES = 150
MOST_RECORDS = 48
"""A longer list is no collection of single facts."""


@dataclass(slots=True, repr=False, eq=False)
class Place:
    """A single value and where it stands; order: how early the walk came by.

    expression: how a guide finds it, where that is not simply its path. in_row: it stands in one of several items
    of a list that only their numbers tell apart.
    """

    path: Path
    value: JsonValue
    order: int
    column: Column
    names: tuple[str, ...] = ()
    expression: str | None = None
    in_row: bool = False


@dataclass(slots=True, repr=False, eq=False)
class Survey:
    """What was found. left_out: the document was too large to look at everything."""

    document: JsonValue
    places: list[Place] = field(default_factory=list)
    tables: list[Table] = field(default_factory=list)
    left_out: bool = False


class Outer(NamedTuple):
    """The list in whose rows the walk is. is_part: it is in a list inside them, which is looked at as a whole."""

    table: Table | None
    is_part: bool = False

    def at(self, path: Path) -> "Outer":
        """The same a step further on."""
        if self.table is None or self.is_part:
            return self
        steps = path[len(self.table.path) + 1 :]
        is_part = any(
            inner.steps == steps and inner.is_one_list(self.table.sample) for inner in self.table.inner
        )
        return Outer(self.table, is_part)


NOWHERE = Outer(None)


def survey(document: JsonValue) -> Survey:
    """Look through a document."""
    seen = Survey(document)
    budget = MOST_VALUES
    waiting: deque[tuple[Path, JsonValue, Outer]] = deque([((), document, NOWHERE)])
    while waiting and budget > 0:
        path, value, outer = waiting.popleft()
        budget -= 1
        if is_nothing(value):
            continue
        if not isinstance(value, dict | list) or is_octets(value) or is_channels(value):
            if len(seen.places) < MOST_PLACES:
                place = Place(path, value, len(seen.places), of_one(value), names_at(document, path))
                place.in_row = is_in_row(document, path)
                seen.places.append(place)
            continue
        form = table_form(value)
        outer = outer.at(path)
        if outer.is_part and outer.table is not None and outer.table.total > 1:
            continue
        if form is not None and len(seen.tables) < MOST_TABLES and not outer.is_part:
            table = _add_table(seen, path, value, form, budget)
            budget -= 0 if table is None else table.looked_at
            outer = outer if table is None else Outer(table)
        waiting += [(step, member, outer) for step, member in _members(path, value, form)]
    inner_budget = MOST_VALUES - _add_inner_tables(seen, MOST_VALUES)
    seen.left_out = (
        min(budget, inner_budget) <= 0 or len(seen.places) >= MOST_PLACES or len(seen.tables) >= MOST_TABLES
    )
    return seen


def _members(
    path: Path, value: dict[str, JsonValue] | list[JsonValue], form: Form | None
) -> list[tuple[Path, JsonValue]]:
    """Where single facts may stand: in a short list too, be it a list of sections or of named values."""
    if len(value) > MOST_RECORDS and (form is not None or isinstance(value, list)):
        return []
    if isinstance(value, dict):
        return [((*path, name), member) for name, member in islice(value.items(), MOST_PLACES)]
    if is_plain_column(value):
        return []
    return [((*path, place), item) for place, item in enumerate(value)]


def _add_table(
    seen: Survey, path: Path, value: dict[str, JsonValue] | list[JsonValue], form: Form, budget: int
) -> Table | None:
    expression = expression_at(seen.document, path)
    if expression is None:
        return None
    heading: tuple[str, ...] = ()
    if form is Form.COLUMNS and isinstance(value, dict):
        value, expression = only_columns(value, expression)
    elif form is Form.LIST and isinstance(value, list) and (heading := heading_of(value)):
        value, expression = value[1:], f"{expression}[1:]"
    if len(expression) > MOST_CHARACTERS:
        return None
    table = Table(path, Rows(expression, form), total_rows(value, form), sampled(value, form, expression))
    if form is Form.COLUMNS:
        table.beside = frozenset(value if isinstance(value, dict) else range(len(value)))
    seen.tables.append(table)
    table.looked_at = fill(table, budget, heading)
    return table


def _add_inner_tables(seen: Survey, budget: int) -> int:
    """Lists inside rows of lists, level by level."""
    spent, waiting = 0, deque((table, inner) for table in seen.tables for inner in table.inner)
    while waiting and spent < budget and len(seen.tables) < MOST_TABLES:
        outer, inner = waiting.popleft()
        table = _inner_table(outer, inner)
        if table is not None:
            spent += fill(table, budget - spent)
            seen.tables.append(table)
            waiting += [(table, deeper) for deeper in table.inner]
    return spent


def _inner_table(outer: Table, inner: Inner) -> Table | None:
    expression = expression_of(inner.steps)
    if len(expression) > MOST_CHARACTERS or not inner.is_one_list(outer.sample):
        return None
    sample: list[Row] = []
    around: list[int] = []
    for number, value in inner.found:
        for row in islice(spread(value, inner.form, expression, outer.sample[number]), MOST_ROWS):
            sample.append(row)
            around.append(number)
        if len(sample) >= MOST_ROWS:
            break
    share = outer.total / max(1, len(outer.sample))
    total = int(sum(len(value) for _, value in inner.found if isinstance(value, list | dict)) * share)
    table = Table(outer.path, Rows(expression, inner.form, outer.rows), total, sample[:MOST_ROWS], outer)
    table.around = around[:MOST_ROWS]
    table.inner_steps = inner.steps
    table.inner_names = (*outer.inner_names, *(step for step in inner.steps if isinstance(step, str)))
    return table
