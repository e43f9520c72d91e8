"""Where in a document the head radio's outgoing counters stand, for putting higher ones there.

An expression only gives a value. So the expressions of the guide search a copy of the document in which no
value is the same object twice: which object they find there tells where it stands.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from fleet.snapshots.decoding import JsonValue, Problem, ReadError
from fleet.snapshots.expressions import ExpressionError, compile_expression
from fleet.snapshots.guide_facts import Fact, NodeFact
from fleet.snapshots.guide_rules import FieldGuide, FieldRule, NodeRule, NodeTable
from fleet.snapshots.guided_values import is_nothing
from fleet.snapshots.paths import Path
from fleet.snapshots.rows import NoRowsError, rows_of
from fleet.snapshots.writing_back import Place


@dataclass(frozen=True, slots=True)
class CounterPlaces:
    """network: of the network counter, the guide's copies after it. links: of the counters of link keys."""

    network: tuple[Place, ...]
    links: tuple[Place, ...] = ()


class _PlacedInt(int):
    __slots__ = ()


class _PlacedFloat(float):
    __slots__ = ()


class _PlacedText(str):
    __slots__ = ()


# The expression library asks a value for the name of its type.
_PlacedInt.__name__, _PlacedFloat.__name__, _PlacedText.__name__ = "int", "float", "str"


@dataclass(slots=True)
class _Placed:
    """The copy, and the path of each value in it by the value's identity."""

    document: JsonValue
    paths: dict[int, Path] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.document = self._copy(self.document, ())

    def place(self, found: JsonValue, rule: FieldRule | NodeRule, where: str) -> Place:
        """Where the found value stands. Raises ReadError for one that was worked out."""
        path = self.paths.get(id(found))
        if path is None:
            right = "an expression that finds the counter as it stands, as no number can be put into one worked out"
            raise ReadError([Problem(where, "", right)])
        return Place(path, rule.reading)

    def _copy(self, part: JsonValue, path: Path) -> JsonValue:
        """Depth is bounded by the decoder."""
        copy = part
        if isinstance(part, dict):
            copy = {name: self._copy(member, (*path, name)) for name, member in part.items()}
        elif isinstance(part, list):
            copy = [self._copy(item, (*path, number)) for number, item in enumerate(part)]
        elif isinstance(part, str):
            copy = _PlacedText(part)
        elif isinstance(part, float):
            copy = _PlacedFloat(part)
        elif isinstance(part, int) and not isinstance(part, bool):
            copy = _PlacedInt(part)
        else:
            return part
        self.paths[id(copy)] = path
        return copy


def counter_places(guide: FieldGuide, document: JsonValue) -> CounterPlaces:
    """Every place that the guide names for an outgoing counter of the head radio.

    Raises ReadError where the guide names no network counter, finds none, or works one out from other values.
    """
    rule = guide.rules.get(Fact.OUTGOING_COUNTER)
    if rule is None:
        raise ReadError([Problem("$", "", "a guide that says where the outgoing counter stands")])
    placed = _Placed(document)
    try:
        first = list(_found([rule], placed))
        copies = list(_found(guide.counter_copies, placed))
        links = [place for table in guide.tables for place in _links(table, placed)]
    except ExpressionError as error:
        raise ReadError([Problem(rule.expression, "", str(error))]) from None
    if not first:
        raise ReadError([Problem(rule.expression, "nothing", "the outgoing counter")])
    network = _each_once([*first, *copies])
    of_links = [place for path, place in _each_once(links).items() if path not in network]
    return CounterPlaces(tuple(network.values()), tuple(of_links))


def _each_once(places: list[Place]) -> dict[Path, Place]:
    """By path, the first way of reading it."""
    found: dict[Path, Place] = {}
    for place in places:
        found.setdefault(place.path, place)
    return found


def _found(rules: Iterable[FieldRule], placed: _Placed) -> Iterator[Place]:
    for rule in rules:
        found = compile_expression(rule.expression).search(placed.document)
        if not is_nothing(found):
            yield placed.place(found, rule, rule.expression)


def _links(table: NodeTable, placed: _Placed) -> Iterator[Place]:
    rule = table.rules.get(NodeFact.OUTGOING_COUNTER)
    if rule is None:
        return
    expression = compile_expression(rule.expression)
    try:
        for row in rows_of(placed.document, table.rows):
            found = row.find(rule.source, expression)
            if not is_nothing(found):
                yield placed.place(found, rule, f"{row.place}.{rule.expression}")
    except NoRowsError:
        return
