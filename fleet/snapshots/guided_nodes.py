"""The nodes of a foreign document, gathered from every list that tells about them."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from fleet.snapshots.decoding import JsonValue, Problem
from fleet.snapshots.expressions import Expression, ExpressionError, compile_expression
from fleet.snapshots.facts import Role
from fleet.snapshots.guide_facts import NODE_KIND, Kind, NodeFact
from fleet.snapshots.guide_rules import NodeTable
from fleet.snapshots.guided_values import Problems, is_nothing, taken
from fleet.snapshots.readings import Canonical, Reader, reader_for
from fleet.snapshots.rows import NoRowsError, Row, Source, rows_of

Told = dict[NodeFact, Canonical]
"""What the document tells about one node."""

HEAD_SHORT = 0
MOST_ROWS = 65_527
"""As many nodes as there are short addresses (Zigbee NWK)."""
NAMES = (NodeFact.EXTENDED_ADDRESS, NodeFact.SHORT_ADDRESS, NodeFact.MARK)
"""By what a row can say which node it is about, the surest first."""


class _Column(NamedTuple):
    fact: NodeFact
    kind: Kind
    source: Source
    expression: Expression
    reader: Reader


@dataclass(slots=True)
class Nodes:
    """The rows read so far, in order, and each by its names."""

    told: list[Told] = field(default_factory=list)
    known: dict[tuple[NodeFact, Canonical], Told] = field(default_factory=dict)

    def find(self, fact: NodeFact, name: Canonical) -> Told | None:
        """The node with this address, short address or mark."""
        return self.known.get((fact, name))

    def head(self) -> Told | None:
        """The row of the head radio: the one with that role, else the one with short address 0."""
        with_role = next((told for told in self.told if told.get(NodeFact.ROLE) is Role.HEAD), None)
        return with_role or self.find(NodeFact.SHORT_ADDRESS, HEAD_SHORT)

    def add(self, rows: list[Told]) -> None:
        """A list of nodes. What an earlier list told about a node stays; twice in one list is two nodes."""
        earlier = [
            self.known.get((NodeFact.EXTENDED_ADDRESS, told[NodeFact.EXTENDED_ADDRESS])) for told in rows
        ]
        for told, node in zip(rows, earlier, strict=True):
            if node is None:
                self.told.append(told)
            self._learn(told if node is None else node, told)

    def tell(self, rows: list[Told]) -> None:
        """A list that only tells more. A row about a node that no list holds is passed over."""
        for told in rows:
            name = next((fact for fact in NAMES if fact in told), None)
            node = self.known.get((name, told[name])) if name else None
            if node is not None:
                self._learn(node, told)

    def _learn(self, node: Told, told: Told) -> None:
        for fact, value in told.items():
            node.setdefault(fact, value)
        for fact in NAMES:
            if fact in node:
                self.known.setdefault((fact, node[fact]), node)


def gather(document: JsonValue, tables: tuple[NodeTable, ...], problems: Problems) -> Nodes:
    """Every row of every list of the guide; lists that add nodes come first, whatever their order.

    A list may be missing, as long as one that adds nodes is there.
    """
    nodes = Nodes()
    missing, adding = [], 0
    for table in sorted(tables, key=lambda table: not table.adds):
        try:
            rows = list(_told_rows(document, table, problems))
        except NoRowsError as error:
            missing.append(Problem(table.rows.items, "nothing", str(error)))
        except ExpressionError as error:
            problems.add(Problem(table.rows.items, "", str(error)))
        else:
            adding += table.adds
            nodes.add(rows) if table.adds else nodes.tell(rows)
    if missing and not adding:
        problems.add(missing[0])
    return nodes


def _told_rows(document: JsonValue, table: NodeTable, problems: Problems) -> Iterator[Told]:
    columns = [
        _Column(
            fact,
            NODE_KIND[fact],
            rule.source,
            compile_expression(rule.expression),
            reader_for(NODE_KIND[fact], rule.reading, rule.words),
        )
        for fact, rule in table.rules.items()
    ]
    for number, row in enumerate(rows_of(document, table.rows)):
        if number == MOST_ROWS:
            problems.add(
                Problem(table.rows.items, f"more than {MOST_ROWS} rows", f"at most {MOST_ROWS} rows")
            )
            return
        told, stated = _told(row, columns, problems)
        if NodeFact.EXTENDED_ADDRESS in told or (told and not table.adds):
            yield told
        elif table.adds and stated and NodeFact.EXTENDED_ADDRESS not in stated:
            problems.add(Problem(row.place, "no address", "an extended address in every row"))


def _told(row: Row, columns: list[_Column], problems: Problems) -> tuple[Told, set[NodeFact]]:
    """What a row tells, and which facts it states at all, readable or not."""
    told: Told = {}
    stated = set()
    for fact, kind, source, expression, reader in columns:
        value = row.find(source, expression)
        if is_nothing(value):
            continue
        stated.add(fact)
        read = taken(fact, kind, reader, value, f"{row.place}.{expression.text}", problems)
        if read is not None and read != "":
            told[fact] = read
    return told, stated
