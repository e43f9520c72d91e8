"""What is wrong with a field guide by itself, before it meets any document."""

from collections.abc import Iterator

from fleet.snapshots.decoding import JsonValue, Problem
from fleet.snapshots.expressions import ExpressionError, compile_expression
from fleet.snapshots.guide_facts import FIXABLE, KIND, NODE_KIND, Fact, Kind, NodeFact, words
from fleet.snapshots.guide_rules import FieldGuide, FieldRule, NodeRule, NodeTable
from fleet.snapshots.readings import Reading, ReadingError, reader_for
from fleet.snapshots.rows import Rows


def faults(guide: FieldGuide) -> tuple[Problem, ...]:
    """What is wrong with a guide by itself: expressions, readings, fixed values, lists without an address."""
    return tuple(_faults(guide))


def _faults(guide: FieldGuide) -> Iterator[Problem]:
    for fact, rule in guide.rules.items():
        yield from _rule_faults(f"mesh.{fact}", KIND[fact], rule)
    for rule in guide.counter_copies:
        yield from _rule_faults("counter_copies", Kind.COUNTER, rule)
    for number, table in enumerate(guide.tables):
        yield from _table_faults(f"nodes[{number}]", table)
    for fact, value in guide.fixed.items():
        if fact not in FIXABLE:
            yield Problem(f"fixed.{fact}", "", f"no fixed value: {words(fact)} must stand in the document")
        elif _wrong_fixed(fact, value):
            yield Problem(f"fixed.{fact}", str(value)[:40], f"a value that fits {words(fact)}")


def _table_faults(place: str, table: NodeTable) -> Iterator[Problem]:
    rows: Rows | None = table.rows
    while rows is not None:
        yield from _expression_faults(f"{place}.items", rows.items)
        rows = rows.within
    for fact, rule in table.rules.items():
        yield from _rule_faults(f"{place}.rules.{fact}", NODE_KIND[fact], rule)
    named = {NodeFact.EXTENDED_ADDRESS} | (set() if table.adds else {NodeFact.SHORT_ADDRESS, NodeFact.MARK})
    if not named & set(table.rules):
        yield Problem(
            f"{place}.rules", "", f"a rule for {' or '.join(sorted(words(fact) for fact in named))}"
        )


def _rule_faults(place: str, kind: Kind, rule: FieldRule | NodeRule) -> Iterator[Problem]:
    yield from _expression_faults(f"{place}.expression", rule.expression)
    try:
        reader_for(kind, rule.reading, rule.words)
    except ReadingError as error:
        yield Problem(f"{place}.reading", rule.reading, str(error))


def _expression_faults(place: str, expression: str) -> Iterator[Problem]:
    try:
        compile_expression(expression)
    except ExpressionError as error:
        yield Problem(place, "", str(error))


def _wrong_fixed(fact: Fact, value: JsonValue) -> bool:
    kind = KIND[fact]
    if kind is Kind.SECURITY_MODE:
        return value not in ("central", "distributed")
    try:
        reading = Reading.SIGNED_NUMBER if kind is Kind.WHOLE else Reading.NUMBER
        return isinstance(value, str) or reader_for(kind, reading).read(value) != value
    except ReadingError:
        return True
