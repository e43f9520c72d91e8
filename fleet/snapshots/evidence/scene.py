"""Single values of a document that may hold facts of the mesh, and how near they stand to each other."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.columns import Column, of_one
from fleet.snapshots.evidence.nodes import ListOfNodes, Nodes
from fleet.snapshots.evidence.ranking import Hint, Ranked, rank
from fleet.snapshots.evidence.survey import Place, Survey
from fleet.snapshots.evidence.tables import Table
from fleet.snapshots.evidence.where import expression_at, names_at
from fleet.snapshots.expressions import compile_expression
from fleet.snapshots.guide_facts import KIND, Fact
from fleet.snapshots.guide_rules import FieldRule
from fleet.snapshots.notations import ReadingError
from fleet.snapshots.paths import Path
from fleet.snapshots.readings import Reading, Words, reader_for
from fleet.snapshots.rows import Form, Row, Source
from fleet.snapshots.secret_names import names_a_key

_PER_STEP = 0.6
_LEAST_ROWS = 2
IN_ROW = 0.15
"""By so much a place in a row of some list is less likely to hold a fact of the mesh."""


class FoundPlace(NamedTuple):
    """A single value and how it is read."""

    place: Place
    reading: Reading
    words: Words = ()

    def __repr__(self) -> str:
        """Without the value, which may be a key."""
        return f"FoundPlace({self.reading})"


MeshFacts = dict[Fact, list[Ranked[FoundPlace]]]


@dataclass(slots=True, repr=False, eq=False)
class Scene:
    """The document, its nodes if it has any, the places that are still free, and what was chosen so far."""

    document: JsonValue
    nodes: Nodes | None
    free: list[Place]
    chosen: MeshFacts = field(default_factory=dict)
    siblings: Mapping[Path, list[Place]] = field(default_factory=dict)

    @property
    def addresses_turned(self) -> bool:
        """Whether the nodes' addresses stand with their octets in the other order."""
        return self.nodes is not None and self.nodes.main.nodes.order.turned

    def choose(self, fact: Fact, hints: Iterable[Hint[FoundPlace]]) -> Ranked[FoundPlace] | None:
        """Rank the candidates for a fact; the best one's place is taken by it.

        Left out are values that the reading would refuse; what stands in a row of a list counts less.
        """
        readable = [hint for hint in hints if _is_readable(fact, hint.found)]
        ranked = rank(fact, [_lowered(hint) if hint.found.place.in_row else hint for hint in readable])
        if not ranked:
            return None
        self.chosen[fact] = ranked
        self.take(ranked[0].found.place)
        return ranked[0]

    def take(self, place: Place) -> None:
        """The place holds a fact, and no other."""
        self.free = [other for other in self.free if other is not place]

    def leave_out(self, tables: list[Table]) -> None:
        """What stands in these lists is about nodes."""
        self.free = [place for place in self.free if not any(table.covers(place.path) for table in tables)]

    def place_of(self, fact: Fact) -> Place | None:
        """Where a fact was found."""
        ranked = self.chosen.get(fact)
        return ranked[0].found.place if ranked else None

    def near(self, place: Place, *facts: Fact) -> float:
        """How near a place is to the nearest of these facts: 1 in the same object, 0 where none was found."""
        return max(
            (nearness(place.path, other.path) for fact in facts if (other := self.place_of(fact))),
            default=0.0,
        )

    def beside(self, place: Place) -> list[Place]:
        """All places in the same object, whether free or taken."""
        return [other for other in self.siblings.get(place.path[:-1], []) if other is not place]

    def rule(self, found: FoundPlace) -> FieldRule | None:
        """As a field guide writes it; None where the expression would be too long, or would repeat a key."""
        expression = found.place.expression or expression_at(self.document, found.place.path)
        if expression is None or names_a_key(expression):
            return None
        return FieldRule(expression, found.reading, found.words)


def _is_readable(fact: Fact, found: FoundPlace) -> bool:
    try:
        reader_for(KIND[fact], found.reading, found.words).read(found.place.value)
    except ReadingError:
        return False
    return True


def _lowered(hint: Hint[FoundPlace]) -> Hint[FoundPlace]:
    return replace(hint, score=max(0.0, hint.score - IN_ROW))


def nearness(path: Path, other: Path) -> float:
    """1 for two values of one object, and less for each step up and down between their objects."""
    shared = 0
    for step, other_step in zip(path[:-1], other[:-1], strict=False):
        if step != other_step:
            break
        shared += 1
    steps: int = len(path) + len(other) - 2 - 2 * shared
    return float(_PER_STEP**steps)


def make_scene(seen: Survey, nodes: Nodes | None) -> Scene:
    """The places outside the lists of nodes, and what all nodes of the main list have in common."""
    free = list(_outside(seen.places, [] if nodes is None else nodes.tables))
    if nodes is not None:
        free += _shared_by_all(nodes.main.nodes.table, nodes.main.choosing.free, len(seen.places))
        free += _in_the_mesh_row(seen.document, nodes.main, len(seen.places))
    siblings: dict[Path, list[Place]] = {}
    for place in free:
        siblings.setdefault(place.path[:-1], []).append(place)
    return Scene(seen.document, nodes, free, {}, siblings)


def _outside(places: Iterable[Place], tables: Sequence[Table]) -> Iterator[Place]:
    """The places that belong to none of these lists. Of lists inside each row of another one stands for all."""
    plain = {table.path for table in tables if table.within is None and table.rows.form is not Form.COLUMNS}
    others = {
        (table.pattern, table.rows.form, table.beside): table
        for table in tables
        if table.within is not None or table.rows.form is Form.COLUMNS
    }
    for place in places:
        path = place.path
        if not any(path[:count] in plain for count in range(len(path) + 1)) and not any(
            table.covers(path) for table in others.values()
        ):
            yield place


def _shared_by_all(table: Table, columns: list[Column], order: int) -> Iterator[Place]:
    """A column with one value in all rows may be a fact of the mesh."""
    if len(table.sample) < _LEAST_ROWS or table.within is not None:
        return
    for column in columns:
        values = list(column.values.values())
        if column.source is not Source.ITEM or len(values) < len(table.sample):
            continue
        if all(value == values[0] for value in values):
            place = Place(
                (*table.path, "*", *column.steps), values[0], order, of_one(values[0]), column.names
            )
            place.expression = _first_of(table, column)
            yield place


def _in_the_mesh_row(document: JsonValue, found: ListOfNodes, order: int) -> Iterator[Place]:
    """What only one row of the nodes has, if that row is told apart by a word of its own or its name."""
    table = found.nodes.table
    if found.mesh_row is None or table.within is not None or table.rows.form is Form.COLUMNS:
        return
    row = table.sample[found.mesh_row]
    step = row.name if table.rows.form is Form.KEYED else _number_of(document, table, row)
    for column in [found.nodes.column, *found.mesh_columns] if step is not None else []:
        value = column.values.get(found.mesh_row)
        path = (*table.path, *((step,) if step is not None else ()), *column.steps)
        yield Place(path, value, order, of_one(value), names_at(document, path))


def _number_of(document: JsonValue, table: Table, row: Row) -> int | None:
    """Which item of the list the row is; none for lists with a heading."""
    items = compile_expression(table.rows.items).search(document)
    if not isinstance(items, list) or table.rows.items.endswith("[1:]"):
        return None
    return next((number for number, item in enumerate(items) if item is row.item), None)


def _first_of(table: Table, column: Column) -> str:
    items = table.rows.items
    if table.rows.form is Form.COLUMNS:
        return f"{items} | {column.expression}[0]"
    first = f"values({items}) | [0]" if table.rows.form is Form.KEYED else f"{items} | [0]"
    return first if column.expression == "@" else f"{first} | {column.expression}"
