"""Who is whose parent: columns that point upward, lists of children, and lists inside lists of nodes."""

from collections.abc import Collection, Iterator
from dataclasses import replace
from typing import NamedTuple

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.columns import Column
from fleet.snapshots.evidence.node_facts import LEAST_CONFIDENCE
from fleet.snapshots.evidence.node_numbers import Found
from fleet.snapshots.evidence.nodes import ListOfNodes, Nodes
from fleet.snapshots.evidence.pointers import STAR, Names, Parent, by_address, by_mark, by_short, is_around
from fleet.snapshots.evidence.ranking import Hint, Ranked, rank
from fleet.snapshots.evidence.sights import SHORT
from fleet.snapshots.guide_facts import NodeFact
from fleet.snapshots.paths import Path
from fleet.snapshots.readings import Reading
from fleet.snapshots.rows import Form, Source

_KNOWN_STAR = 0.85
_AROUND_STAR = 0.55


class HeadPlace(NamedTuple):
    """Where the head's own address stands, outside all lists."""

    path: Path
    expression: str
    reading: Reading
    value: JsonValue
    address: int


def parent_hints(found: ListOfNodes, nodes: Nodes) -> list[Hint[Parent]]:
    """Columns of one list that could hold the parents."""
    free, listed = found.choosing.free, found.nodes
    own = {row: listed.right_way(number) for row, number in listed.numbers.by_row.items()}
    hints = list(by_address(free, listed, Names(own, nodes.right)))
    numbers = found.short.column.numbers(SHORT) if found.short else None
    if numbers is not None and found.short is not None:
        hints += by_short(free, Names(numbers.by_row, nodes.shorts), found.short.reading)
    if len(listed.table.sample) == listed.table.total:
        hints += by_mark(free, listed.table.total)
    return hints + list(_around(found, nodes))


def _around(found: ListOfNodes, nodes: Nodes) -> Iterator[Hint[Parent]]:
    """Nodes that stand inside a node are its children."""
    for outer in nodes.lists:
        table = outer.nodes.table
        if found.nodes.table.within is not table:
            continue
        named = table.rows.form is Form.KEYED and outer.nodes.column.source is Source.NAME
        column = Column(
            Source.AROUND_NAME if named else Source.AROUND,
            outer.nodes.column.steps,
            {
                row: outer.nodes.column.values.get(number)
                for row, number in enumerate(found.nodes.table.around)
            },
        )
        by_row = {
            row: outer.nodes.right_way(outer.nodes.numbers.by_row[number])
            for row, number in enumerate(found.nodes.table.around)
            if number in outer.nodes.numbers.by_row
        }
        parent = Parent(NodeFact.PARENT, Found(column, outer.nodes.reading), None, by_row)
        yield Hint(parent, 0.8, "the rows stand inside the rows of other nodes")


def below_head(found: ListOfNodes, nodes: Nodes, top: HeadPlace | None) -> Iterator[Hint[Parent]]:
    """Where nodes stand inside their parents, the outermost beside the head's address are the head's children."""
    table = found.nodes.table
    is_outermost = any(other.nodes.table.within is table for other in nodes.lists)
    if top is None or not is_outermost or table.within is not None:
        return
    if table.path[: len(top.path) - 1] == top.path[:-1]:
        column = Column(
            Source.TOP, (), dict.fromkeys(range(len(table.sample)), top.value), (), top.expression
        )
        by_row = dict.fromkeys(range(len(table.sample)), top.address)
        parent = Parent(NodeFact.PARENT, Found(column, top.reading), None, by_row)
        yield Hint(parent, 0.75, "the outermost nodes stand beside the head's address")


def roots(hints: Collection[Hint[Parent]]) -> dict[int, float]:
    """Addresses from outside the lists that parents point at: probably the head's. With how sure that is."""
    votes: dict[int, float] = {}
    for hint in hints:
        if hint.found.root is not None:
            votes[hint.found.root] = max(votes.get(hint.found.root, 0.0), hint.score)
    return votes


def choose_parents(found: ListOfNodes, hints: list[Hint[Parent]], head: int | None, nodes: Nodes) -> set[int]:
    """Take the best column of parents, now that the head is known. Gives the rows that are parents."""
    names = {head} if head is not None else set()
    settled = [_settled(hint, names, found, nodes) for hint in hints]
    ranked = rank(NodeFact.PARENT, [hint for hint in settled if hint is not None])
    if not ranked:
        return set()
    best = ranked[0].found
    same = [other for other in ranked if other.found.fact is best.fact]
    found.choosing.chosen[best.fact] = [
        Ranked(other.found.found, other.confidence, other.reason, other.by_name) for other in same
    ]
    if ranked[0].confidence < LEAST_CONFIDENCE:
        return set()
    found.choosing.take(best.found.column)
    if best.mark is not None:
        mark = Found(best.mark, Reading.TEXT)
        found.choosing.chosen[NodeFact.MARK] = [
            Ranked(mark, ranked[0].confidence, "a different one in each row")
        ]
    return _parent_rows(best, found)


def _settled(hint: Hint[Parent], head: set[int], found: ListOfNodes, nodes: Nodes) -> Hint[Parent] | None:
    """A column with one address in all rows is one of parents only if that is the head's or another list's."""
    if hint.score > STAR:
        return hint
    pointed_at = set(hint.found.by_row.values())
    if hint.found.fact is NodeFact.PARENT and pointed_at <= head:
        if is_around(hint.found.found.column):
            reason = "the head's address once for all rows, in the object around them"
            return replace(hint, score=_AROUND_STAR, reason=reason)
        return replace(hint, score=_KNOWN_STAR, reason="the head's address in all rows")
    if hint.found.fact is NodeFact.PARENT_SHORT and pointed_at == {0}:
        score = _AROUND_STAR if is_around(hint.found.found.column) else 0.6
        return replace(hint, score=score, reason="the head's short address in all rows")
    if hint.found.fact is NodeFact.PARENT and pointed_at <= nodes.right - found.nodes.right:
        return replace(hint, score=0.6, reason="the address of one node of another list in all rows")
    if (
        len(pointed_at) == 1
        and hint.found.root is None
        and len(hint.found.by_row) < len(found.nodes.table.sample)
    ):
        return replace(hint, score=0.55, reason="one other row's name in some rows")
    return None


def _parent_rows(parent: Parent, found: ListOfNodes) -> set[int]:
    """Which of the rows looked at are parents of others."""
    pointed_at = set(parent.by_row.values())
    listed = found.nodes
    if parent.fact is NodeFact.PARENT:
        return {
            row for row, number in listed.numbers.by_row.items() if listed.right_way(number) in pointed_at
        }
    if parent.fact is NodeFact.PARENT_SHORT and found.short is not None:
        numbers = found.short.column.numbers(SHORT)
        return {row for row, number in numbers.by_row.items() if number in pointed_at} if numbers else set()
    if parent.mark is not None:
        return {row for row, value in parent.mark.values.items() if str(value).strip() in pointed_at}
    return set()
