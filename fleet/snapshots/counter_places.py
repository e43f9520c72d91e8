"""Where in a document the network's outgoing counter stands, for putting a higher one there.

An expression only gives a value. So the document is copied with every equal value replaced by one that
remembers its place and is equal all the same: what the expression then finds tells where it was found.
"""

from collections.abc import Iterator

from fleet.snapshots.decoding import JsonValue, Problem, ReadError
from fleet.snapshots.expressions import ExpressionError, compile_expression
from fleet.snapshots.guide_facts import Fact
from fleet.snapshots.guide_rules import FieldGuide, FieldRule
from fleet.snapshots.paths import Path


class _PlacedInt(int):
    path: Path = ()


class _PlacedFloat(float):
    path: Path = ()


class _PlacedText(str):
    path: Path = ()


# The expression library asks a value for the name of its type.
_PlacedInt.__name__, _PlacedFloat.__name__, _PlacedText.__name__ = "int", "float", "str"


def counter_places(guide: FieldGuide, document: JsonValue) -> tuple[Path, ...]:
    """The paths of the network counter, such as (("security", "counter"),), the guide's copies after it.

    Raises ReadError where the guide names no counter, finds none, or works it out from several values.
    """
    rule = guide.rules.get(Fact.OUTGOING_COUNTER)
    if rule is None:
        raise ReadError([Problem("$", "", "a guide that says where the outgoing counter stands")])
    copies = [_place(copy, document) for copy in guide.counter_copies]
    first = _place(rule, document)
    if first is None:
        raise ReadError([Problem(rule.expression, "", "one value of the document: the outgoing counter")])
    return tuple(dict.fromkeys([first, *(path for path in copies if path is not None)]))


def _place(rule: FieldRule, document: JsonValue) -> Path | None:
    try:
        expression = compile_expression(rule.expression)
        value = expression.search(document)
        return _place_of(value, expression.search(_placed(document, value, ())), document)
    except ExpressionError as error:
        raise ReadError([Problem(rule.expression, "", str(error))]) from None


def _place_of(value: JsonValue, found: JsonValue, document: JsonValue) -> Path | None:
    if isinstance(found, _PlacedInt | _PlacedFloat | _PlacedText):
        return found.path
    if isinstance(value, list | dict):
        return next((path for path, part in _containers(document, ()) if part is value), None)
    return None


def _placed(part: JsonValue, value: JsonValue, path: Path) -> JsonValue:
    """A copy of the part. Depth is bounded by the decoder."""
    if isinstance(part, dict):
        return {name: _placed(member, value, (*path, name)) for name, member in part.items()}
    if isinstance(part, list):
        return [_placed(item, value, (*path, place)) for place, item in enumerate(part)]
    if isinstance(part, bool) or part is None or type(part) is not type(value) or part != value:
        return part
    placed: _PlacedInt | _PlacedFloat | _PlacedText
    if isinstance(part, str):
        placed = _PlacedText(part)
    else:
        placed = _PlacedInt(part) if isinstance(part, int) else _PlacedFloat(part)
    placed.path = path
    return placed


def _containers(part: JsonValue, path: Path) -> Iterator[tuple[Path, JsonValue]]:
    if isinstance(part, dict | list):
        yield path, part
        members = part.items() if isinstance(part, dict) else enumerate(part)
        for step, member in members:
            yield from _containers(member, (*path, step))
