"""Lists that tell more about nodes of other lists: tables of link keys, counters, children, who stands below whom."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from fleet.snapshots.evidence.columns import Column
from fleet.snapshots.evidence.names import name_score
from fleet.snapshots.evidence.node_facts import (
    LEAST_CONFIDENCE,
    Choosing,
    NodeFacts,
    choose_others,
    columns_around,
)
from fleet.snapshots.evidence.node_numbers import Found, short_hints
from fleet.snapshots.evidence.nodes import Nodes
from fleet.snapshots.evidence.pointers import STAR, Names, Parent, by_address, by_short, right_way
from fleet.snapshots.evidence.ranking import Hint, Ranked, rank
from fleet.snapshots.evidence.sights import ADDRESS, KEY, SHORT
from fleet.snapshots.evidence.tables import Table
from fleet.snapshots.guide_facts import NodeFact
from fleet.snapshots.notations import ReadingError
from fleet.snapshots.readings import TURNED, Reading
from fleet.snapshots.rows import Source
from fleet.snapshots.word_notations import from_text

_LEAST_KNOWN = 0.85
_LEAST_DISTINCT = 0.95
_LEAST_COVER = 0.8
_MAY_BE_HOP = 0.45
_HARDLY_HOP = 0.55
"""Routes are told by short addresses (Zigbee NWK)."""
_LEAST_SHOWN = 0.4
_OF_SOME = (NodeFact.LINK_KEY, NodeFact.OUTGOING_COUNTER, NodeFact.INCOMING_COUNTER, NodeFact.SHORT_ADDRESS)
"""Facts that only some nodes may have; a list that tells others of a few nodes is about something else."""
_PARENTS = frozenset({NodeFact.PARENT, NodeFact.PARENT_SHORT, NodeFact.PARENT_MARK})


@dataclass(slots=True, repr=False, eq=False)
class Companion:
    """A list that names nodes by name, in each row another, and what it tells that is not known yet."""

    table: Table
    name: NodeFact
    found: Found
    facts: NodeFacts
    reason: str


def companions(
    tables: list[Table], nodes: Nodes, head: int | None, known: set[NodeFact]
) -> Iterator[Companion]:
    """Lists with facts that no list of nodes has. known: what is told already; grows with each list."""
    for table in sorted(tables, key=lambda table: table.within not in nodes.tables):
        if nodes.holds(table) or not table.sample:
            continue
        named = _named(table, nodes, head)
        if named is None:
            continue
        fact, found, cover = named
        facts = _facts(table, fact, found, nodes, head, known, cover)
        if facts:
            known |= {fact for fact, ranked in facts.items() if ranked[0].confidence >= LEAST_CONFIDENCE}
            yield Companion(
                table, fact, found, facts, f"each row names a node by its {fact.replace('_', ' ')}"
            )


def _named(table: Table, nodes: Nodes, head: int | None) -> tuple[NodeFact, Found, float] | None:
    """How the rows name their nodes, and which share of all nodes they name."""
    everyone = nodes.right | ({head} if head is not None else frozenset())
    for column in table.columns:
        numbers = column.numbers(ADDRESS)
        if numbers is not None:
            reading, by_row = right_way(numbers, nodes.main.nodes)
            if _names_nodes(list(by_row.values()), everyone, table) and set(by_row.values()) != {head}:
                return NodeFact.EXTENDED_ADDRESS, Found(column, reading), len(by_row) / len(everyone)
    short = nodes.main.short
    for column in table.columns if short is not None else []:
        numbers = column.numbers(SHORT)
        if (
            numbers is not None
            and short is not None
            and short.reading in (numbers.reading, TURNED.get(numbers.reading))
        ):
            values = list(numbers.by_row.values())
            if _names_nodes(values, nodes.shorts | {0}, table):
                return NodeFact.SHORT_ADDRESS, Found(column, short.reading), len(values) / len(nodes.shorts)
    return None


def _names_nodes(values: list[int], known: frozenset[int], table: Table) -> bool:
    if len(values) < _LEAST_KNOWN * len(table.sample) or len(set(values)) < _LEAST_DISTINCT * len(values):
        return False
    return sum(map(known.__contains__, values)) >= _LEAST_KNOWN * len(values)


def _facts(
    table: Table,
    name: NodeFact,
    found: Found,
    nodes: Nodes,
    head: int | None,
    known: set[NodeFact],
    cover: float,
) -> NodeFacts:
    free = [column for column in table.columns if column is not found.column]
    choosing = Choosing(free, addresses_turned=nodes.main.nodes.order.turned)
    if name is NodeFact.EXTENDED_ADDRESS and NodeFact.SHORT_ADDRESS not in known:
        choosing.choose(NodeFact.SHORT_ADDRESS, short_hints(choosing.free, len(table.sample)))
    if not known & _PARENTS and cover >= _LEAST_COVER:
        _choose_parent(table, name, found, nodes, head, choosing)
    choose_others(choosing, len(table.sample), (), ())
    return {
        fact: ranked
        for fact, ranked in choosing.chosen.items()
        if fact not in known
        and ranked[0].confidence >= _LEAST_SHOWN
        and (fact in _OF_SOME or cover >= _LEAST_COVER)
    }


def _choose_parent(
    table: Table, name: NodeFact, found: Found, nodes: Nodes, head: int | None, choosing: Choosing
) -> None:
    """A column that points upward; or the node in whose row a list of children stands."""
    columns = choosing.free
    if table.within in nodes.tables:
        columns = [*columns, *columns_around(table)]
    numbers = found.column.numbers(ADDRESS if name is NodeFact.EXTENDED_ADDRESS else SHORT)
    if numbers is None:
        return
    if name is NodeFact.EXTENDED_ADDRESS:
        own = Names(right_way(numbers, nodes.main.nodes)[1], nodes.right)
        hints = list(by_address(columns, nodes.main.nodes, own))
    else:
        hints = list(by_short(columns, Names(numbers.by_row, nodes.shorts), found.reading))
    likely = [likely for hint in hints if (likely := _likely_parent(hint, head)) is not None]
    ranked = rank(NodeFact.PARENT, likely)
    if ranked:
        best = ranked[0].found
        choosing.chosen[best.fact] = [Ranked(best.found, ranked[0].confidence, ranked[0].reason)]
        choosing.take(best.found.column)


def _likely_parent(hint: Hint[Parent], head: int | None) -> Hint[Parent] | None:
    """Lists of children tell parents by their place. Elsewhere the next hop of a route looks the same as a parent."""
    if hint.found.root not in (None, head):
        return None
    if hint.found.found.column.source in (Source.AROUND, Source.AROUND_NAME):
        return replace(
            hint, score=0.8, reason="the nodes in a list inside a node's row, each in one such list"
        )
    is_star = hint.score <= STAR
    if is_star and set(hint.found.by_row.values()) not in ({head}, {0}):
        return None
    is_named = name_score(NodeFact.PARENT, hint.names) > 0
    why = ", and the name says so" if is_named else ", which could be the next hop of a route too"
    unnamed = _MAY_BE_HOP if is_star or hint.found.fact is NodeFact.PARENT_SHORT else _HARDLY_HOP
    named = 0.6 if is_star else 0.75
    return replace(hint, score=named if is_named else unnamed, reason=hint.reason + why)


def marked_companions(
    tables: list[Table], nodes: Nodes, known: set[NodeFact]
) -> Iterator[tuple[Companion, Column]]:
    """Lists of link keys that name nodes by marks of the document's own. With the column of marks in the main list."""
    marks = [
        (column, texts) for column in nodes.main.choosing.free if (texts := _texts(column)) and len(texts) > 2
    ]
    own = [(column, set(texts)) for column, texts in marks if len(set(texts)) == len(texts)]
    for table in tables:
        if NodeFact.LINK_KEY in known or nodes.holds(table):
            continue
        keys = [column for column in table.columns if column.numbers(KEY) is not None]
        for column in table.columns if keys else []:
            texts = _texts(column)
            for mark, names in own:
                if len(texts) > 2 and len(set(texts)) == len(texts) and names >= set(texts):
                    free = [other for other in table.columns if other is not column]
                    choosing = Choosing(free, addresses_turned=nodes.main.nodes.order.turned)
                    choose_others(choosing, len(table.sample), (), ())
                    facts = {fact: ranked for fact, ranked in choosing.chosen.items() if fact in _OF_SOME}
                    known |= set(facts)
                    found = Found(column, Reading.TEXT)
                    reason = "each row names a node by a mark of the document's own"
                    yield Companion(table, NodeFact.MARK, found, facts, reason), mark


def _texts(column: Column) -> list[str]:
    if column.source not in (Source.ITEM, Source.NAME):
        return []
    try:
        return [from_text(value) for value in column.values.values()]
    except ReadingError:
        return []
