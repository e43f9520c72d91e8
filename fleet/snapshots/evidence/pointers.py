"""Columns whose values are names of nodes: addresses, short addresses, or marks of the document's own."""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from fleet.snapshots.evidence.byte_order import turn
from fleet.snapshots.evidence.columns import Column, Numbers
from fleet.snapshots.evidence.names import name_score
from fleet.snapshots.evidence.node_lists import NodeList
from fleet.snapshots.evidence.node_numbers import Found
from fleet.snapshots.evidence.ranking import Hint
from fleet.snapshots.evidence.sights import ADDRESS, SHORT
from fleet.snapshots.evidence.trees import tree_of
from fleet.snapshots.guide_facts import NodeFact
from fleet.snapshots.notations import ReadingError
from fleet.snapshots.readings import TURNED, Reading
from fleet.snapshots.rows import Source
from fleet.snapshots.word_notations import from_text

_UNSET_SHORTS = frozenset({0xFFFE, 0xFFFF})
_UNSET_ADDRESSES = frozenset({0, 2**64 - 1})
STAR = 0.45
_MOST_MARKS = 16
_MAY_BE_CHANCE = 0.45
"""Small numbers may name other rows by chance."""


class Names(NamedTuple):
    """By what rows are known. by_row: of the rows looked at; every: of all rows of all lists of nodes."""

    by_row: Mapping[int, int]
    every: frozenset[int]


class Parent(NamedTuple):
    """A column of parents. root: the address of the one from outside the lists; mark: where a row's own mark is."""

    fact: NodeFact
    found: Found
    root: int | None
    by_row: Mapping[int, object]
    mark: Column | None = None


def right_way(numbers: Numbers, nodes: NodeList) -> tuple[Reading, dict[int, int]]:
    """A column of addresses by row as they are: in the order of octets that agrees most with the list of nodes."""
    same = {row: nodes.right_way(number) for row, number in numbers.by_row.items()}
    if numbers.reading is nodes.numbers.reading:
        return nodes.reading, same
    as_it_stands = dict(numbers.by_row)
    other_way = {row: turn(number) for row, number in numbers.by_row.items()}
    known = nodes.right
    if sum(map(known.__contains__, other_way.values())) > sum(map(known.__contains__, as_it_stands.values())):
        return TURNED[numbers.reading], other_way
    return numbers.reading, as_it_stands


def by_address(columns: Sequence[Column], nodes: NodeList, own: Names) -> Iterator[Hint[Parent]]:
    """Columns of addresses that point upward only. One that names a single node stays doubtful."""
    for column in columns:
        numbers = column.numbers(ADDRESS)
        if numbers is None:
            continue
        reading, by_row = right_way(numbers, nodes)
        by_row = {row: number for row, number in by_row.items() if number not in _UNSET_ADDRESSES}
        tree = tree_of(own.by_row, by_row, own.every)
        if tree is not None and by_row:
            is_star = len(tree.pointed_at) == 1
            if is_star and tree.root is not None and is_of_all(column, len(own.by_row)):
                continue
            reason = (
                "one address in all rows" if is_star else "addresses of other rows, and no circle among them"
            )
            parent = Parent(NodeFact.PARENT, Found(column, reading), tree.root, by_row)
            yield Hint(parent, STAR if is_star else 0.9, reason, column.names)


def is_of_all(column: Column, rows: int) -> bool:
    """One value of the object around a list tells of the mesh, not of its nodes: most likely it is the head's own.

    Where it is called a parent, or there is one node only, it may be theirs.
    """
    return is_around(column) and rows > 1 and name_score(NodeFact.PARENT, column.names) <= 0


def is_around(column: Column) -> bool:
    """It stands in the object around the list."""
    return column.source in (Source.AROUND, Source.AROUND_NAME)


def by_short(columns: Sequence[Column], own: Names, reading: Reading) -> Iterator[Hint[Parent]]:
    """The same for short addresses, which stand in the notation of the nodes' own; 0 is the head's."""
    for column in columns:
        numbers = column.numbers(SHORT)
        if numbers is None or reading not in (numbers.reading, TURNED.get(numbers.reading)):
            continue
        by_row = {row: number for row, number in numbers.by_row.items() if number not in _UNSET_SHORTS}
        tree = tree_of(own.by_row, by_row, own.every)
        if tree is None or tree.root not in (None, 0) or not by_row:
            continue
        is_star = len(tree.pointed_at) == 1
        if is_star and tree.pointed_at == {0} and is_of_all(column, len(own.by_row)):
            continue
        if is_star and numbers.reading is Reading.NUMBER and tree.pointed_at == {0}:
            continue
        reason = (
            "one short address in all rows"
            if is_star
            else "short addresses of other rows, and no circle among them"
        )
        parent = Parent(NodeFact.PARENT_SHORT, Found(column, reading), None, by_row)
        yield Hint(parent, STAR if is_star else 0.85, reason, column.names)


def by_mark(columns: Sequence[Column], rows: int) -> Iterator[Hint[Parent]]:
    """The same for any text or number that is different in each row. Only where all rows were looked at."""
    texts = [(column, by_row) for column in columns if (by_row := _texts(column))]
    marks = [(column, by_row) for column, by_row in texts if len(set(by_row.values())) == rows > 2]
    for mark, own in marks[:_MOST_MARKS]:
        for column, by_row in texts[: 2 * _MOST_MARKS]:
            if column is mark or set(by_row.values()).isdisjoint(own.values()):
                continue
            tree = tree_of(own, by_row, frozenset(own.values()))
            if tree is None or len(tree.pointed_at) < 2 or tree.root is not None:
                continue
            are_words = not all(text.isdigit() for text in own.values())
            reason = "each names another row by its mark, and no circle is among them"
            parent = Parent(NodeFact.PARENT_MARK, Found(column, Reading.TEXT), None, by_row, mark)
            is_sure = are_words or name_score(NodeFact.PARENT_MARK, column.names) > 0
            yield Hint(parent, 0.7 if is_sure else _MAY_BE_CHANCE, reason, column.names)


def _texts(column: Column) -> dict[int, str]:
    found: dict[int, str] = {}
    for row, value in column.values.items():
        try:
            found[row] = from_text(value)
        except ReadingError:
            return {}
    return found
