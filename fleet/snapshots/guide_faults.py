"""What is wrong with a field guide by itself, before it meets any document."""

import re
from collections.abc import Iterator

from fleet.snapshots.decoding import JsonValue, Problem
from fleet.snapshots.expressions import ExpressionError, compile_expression
from fleet.snapshots.guide_facts import FIXABLE, KIND, NODE_KIND, REQUIRED, Fact, Kind, NodeFact, words
from fleet.snapshots.guide_rules import FieldGuide, FieldRule, NodeRule, NodeTable
from fleet.snapshots.paths import HIDDEN
from fleet.snapshots.readings import WIDTHS, Reading, ReadingError, reader_for
from fleet.snapshots.rows import Rows
from fleet.snapshots.secret_names import names_a_key

MOST_TABLES = 40
_NAME = re.compile(r"[^\x00-\x1f\ud800-\udfff]{1,60}")


def faults(guide: FieldGuide) -> tuple[Problem, ...]:
    """What is wrong with a guide by itself: name, expressions, readings, fixed values, lists without an address."""
    return tuple(_faults(guide))


def lacking(guide: FieldGuide) -> tuple[Fact, ...]:
    """The facts that every snapshot must state, and that this guide neither finds nor fixes."""
    told = {*guide.rules, *guide.fixed, *((Fact.HEAD_ADDRESS,) if guide.head_listed else ())}
    return tuple(fact for fact in REQUIRED if fact not in told)


def right_value(fact: Fact) -> str:
    """What may be stated for a fact, in words: "a number from 0 to 255"."""
    kind = KIND[fact]
    if kind is Kind.SECURITY_MODE:
        return "central or distributed"
    return f"a number from 0 to {256 ** WIDTHS[kind] - 1}" if kind in WIDTHS else "a whole number"


def _faults(guide: FieldGuide) -> Iterator[Problem]:
    if not guide.name.strip() or not _NAME.fullmatch(guide.name):
        yield Problem("name", "", "a name of 1 to 60 characters")
    for fact, rule in guide.rules.items():
        yield from _rule_faults(f"mesh.{fact}", KIND[fact], rule)
    for rule in guide.counter_copies:
        yield from _rule_faults("counter_copies", Kind.COUNTER, rule)
    if len(guide.tables) > MOST_TABLES:
        yield Problem("nodes", f"{len(guide.tables)} lists", f"at most {MOST_TABLES} lists")
    for number, table in enumerate(guide.tables):
        yield from _table_faults(f"nodes[{number}]", table)
    for fact, value in guide.fixed.items():
        if fact not in FIXABLE:
            yield Problem(f"fixed.{fact}", "", f"no fixed value: {words(fact)} must stand in the document")
        elif _wrong_fixed(fact, value):
            yield Problem(f"fixed.{fact}", str(value)[:40], right_value(fact))


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
    if names_a_key(expression):
        yield Problem(place, HIDDEN, "no name that could be a key, as guides are kept in clear")


def _wrong_fixed(fact: Fact, value: JsonValue) -> bool:
    kind = KIND[fact]
    if kind is Kind.SECURITY_MODE:
        return value not in ("central", "distributed")
    try:
        reading = Reading.SIGNED_NUMBER if kind is Kind.WHOLE else Reading.NUMBER
        return isinstance(value, str) or reader_for(kind, reading).read(value) != value
    except ReadingError:
        return True
