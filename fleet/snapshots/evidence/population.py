"""The nodes of a document: their lists, the head among them, their parents, and what else is told of them."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.columns import Column
from fleet.snapshots.evidence.companions import Companion, companions, marked_companions
from fleet.snapshots.evidence.head_row import HeadRow, head_in_list, head_rows
from fleet.snapshots.evidence.moments import moments
from fleet.snapshots.evidence.node_facts import LEAST_CONFIDENCE, choose_others
from fleet.snapshots.evidence.node_numbers import Found
from fleet.snapshots.evidence.nodes import ListOfNodes, Nodes
from fleet.snapshots.evidence.parents import HeadPlace, below_head, choose_parents, parent_hints, roots
from fleet.snapshots.evidence.pointers import Parent
from fleet.snapshots.evidence.ranking import Hint, Ranked
from fleet.snapshots.evidence.tables import Table
from fleet.snapshots.guide_facts import NodeFact
from fleet.snapshots.readings import Reading


@dataclass(slots=True, repr=False, eq=False)
class Population:
    """What is known of the nodes before the head's address is.

    votes: addresses from outside the lists that parents point at; head_row: the head's own row, if it is listed.
    """

    nodes: Nodes
    parents: list[list[Hint[Parent]]]
    votes: dict[int, float]
    head_row: HeadRow | None
    companions: list[Companion] = field(default_factory=list)


def look_at_nodes(document: JsonValue, nodes: Nodes) -> Population:
    """Candidates for parents, and the head's row, if one of the rows is the head's."""
    parents = [parent_hints(found, nodes) for found in nodes.lists]
    votes: dict[int, float] = {}
    for hints in parents:
        for address, score in roots(hints).items():
            votes[address] = max(score, votes.get(address, 0.0))
    outer = [found for found in nodes.lists if found.nodes.table.within not in nodes.tables]
    heads = [head for found in outer if (head := head_in_list(document, found)) is not None]
    return Population(nodes, parents, votes, heads[0] if heads else None)


def settle_nodes(
    population: Population, head: int | None, top: HeadPlace | None, tables: list[Table]
) -> None:
    """Choose every fact of the nodes, now that the head's address is known, in their lists and in others.

    top: where the head's address stands, if not in a list.
    """
    nodes = population.nodes
    known: set[NodeFact] = set()
    for found, hints in zip(nodes.lists, population.parents, strict=True):
        hints = [*hints, *below_head(found, nodes, top)]
        parents = choose_parents(found, hints, head, nodes)
        choose_others(found.choosing, len(found.nodes.table.sample), parents, head_rows(found, head))
        known |= {
            fact for fact, ranked in found.choosing.chosen.items() if ranked[0].confidence >= LEAST_CONFIDENCE
        }
    population.companions += companions(tables, nodes, head, known)
    for companion, mark in marked_companions(tables, nodes, known):
        population.companions.append(companion)
        _mark(nodes.main, mark)


def _mark(found: ListOfNodes, column: Column) -> None:
    mark = Ranked(Found(column, Reading.TEXT), 0.6, "another list names the nodes by it")
    found.choosing.chosen.setdefault(NodeFact.MARK, [mark])


def latest_heard(nodes: Nodes) -> datetime | None:
    """The last time at which any node was heard, as far as a column of such times was found."""
    latest = None
    for column in _heard_columns(nodes):
        seen = moments(list(column.values.values()))
        if seen is not None:
            latest = max([*seen[1], *([latest] if latest else [])])
    return latest


def _heard_columns(nodes: Nodes) -> Iterator[Column]:
    for found in nodes.lists:
        ranked = found.choosing.chosen.get(NodeFact.LAST_HEARD)
        if ranked and ranked[0].confidence >= LEAST_CONFIDENCE:
            yield ranked[0].found.column
