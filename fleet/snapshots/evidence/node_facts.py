"""What the columns of one list tell about its nodes: for each fact the candidates, the best first."""

from collections.abc import Collection, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace

from fleet.snapshots.evidence.categories import (
    LINK_KEY_WORDS,
    POWER_WORDS,
    role_hints,
    sleep_hints,
    word_hints,
)
from fleet.snapshots.evidence.columns import Column
from fleet.snapshots.evidence.labels import label_hints, room_hints
from fleet.snapshots.evidence.names import name_score
from fleet.snapshots.evidence.node_numbers import Found, counter_hints, key_hints, silence_hints, time_hints
from fleet.snapshots.evidence.ranking import Hint, Ranked, rank
from fleet.snapshots.evidence.tables import Table
from fleet.snapshots.facts import Role
from fleet.snapshots.guide_facts import NODE_KIND, Kind, NodeFact
from fleet.snapshots.notations import ReadingError
from fleet.snapshots.readings import reader_for
from fleet.snapshots.rows import Source

NodeFacts = dict[NodeFact, list[Ranked[Found]]]

LEAST_CONFIDENCE = 0.5
"""Below this a guess is shown, and not taken unless a person chooses it."""
_UNNAMED_COUNTER = 0.3


def columns_around(table: Table) -> list[Column]:
    """Columns of the list around an inner one, by row of the inner one."""
    outer = table.within
    if outer is None:
        return []
    found = []
    for column in outer.columns:
        values = {
            row: column.values[number] for row, number in enumerate(table.around) if number in column.values
        }
        if values and column.source in (Source.ITEM, Source.NAME):
            source = Source.AROUND if column.source is Source.ITEM else Source.AROUND_NAME
            found.append(Column(source, column.steps, values, column.names))
    return found


@dataclass(slots=True, repr=False, eq=False)
class Choosing:
    """The columns that are still free, and what was chosen so far.

    like: the choices of another list of the same sort, which hold here too where they can. addresses_turned: the
    octets of the document's addresses stand in the other order.
    """

    free: list[Column]
    like: "Choosing | None" = None
    chosen: NodeFacts = field(default_factory=dict)
    addresses_turned: bool = False

    def choose(self, fact: NodeFact, hints: Iterable[Hint[Found]]) -> Ranked[Found] | None:
        """Rank the candidates for a fact; the best one's column is taken by it."""
        found = list(hints)
        model = self.like.chosen.get(fact) if self.like is not None else None
        if model:
            column = model[0].found.column
            same = [hint for hint in found if _is_same(hint.found.column, column)]
            found = [_adapted(fact, hint, model[0]) for hint in same] or found
        ranked = rank(fact, found)
        if not ranked:
            return None
        self.chosen[fact] = ranked
        if ranked[0].confidence >= LEAST_CONFIDENCE:
            self.take(ranked[0].found.column)
        return ranked[0]

    def take(self, column: Column) -> None:
        """The column holds a fact, and no other."""
        self.free = [other for other in self.free if other is not column]


def _is_same(column: Column, other: Column) -> bool:
    return column.steps == other.steps and column.source is other.source


def _adapted(fact: NodeFact, hint: Hint[Found], model: Ranked[Found]) -> Hint[Found]:
    """The same column of a similar list is as sure, and is read in the same way if it can be."""
    reader = reader_for(NODE_KIND[fact], model.found.reading, model.found.words)
    score = max(hint.score, model.confidence)
    try:
        for value in hint.found.column.values.values():
            reader.read(value)
    except ReadingError:
        return replace(hint, score=score)
    return replace(hint, score=score, found=Found(hint.found.column, model.found.reading, model.found.words))


def choose_others(choosing: Choosing, rows: int, parents: Collection[int], head: Collection[int]) -> None:
    """All facts of nodes but addresses and parents. parents, head: numbers of the rows that are."""
    choosing.choose(NodeFact.LINK_KEY, key_hints(choosing.free))
    choosing.choose(NodeFact.ROLE, role_hints(choosing.free, rows, parents, head))
    choosing.choose(NodeFact.POWER, word_hints(choosing.free, rows, POWER_WORDS))
    choosing.choose(NodeFact.LINK_KEY_KIND, word_hints(choosing.free, rows, LINK_KEY_WORDS))
    awake = {*parents, *_rows_awake(choosing)}
    choosing.choose(NodeFact.SLEEPS, sleep_hints(choosing.free, rows, awake))
    choosing.choose(NodeFact.LAST_HEARD, time_hints(choosing.free))
    _choose_counters(choosing)
    choosing.choose(NodeFact.LONGEST_SILENCE_SECONDS, silence_hints(choosing.free))
    choosing.choose(NodeFact.LABEL, label_hints(choosing.free, rows))
    choosing.choose(NodeFact.ROOM, room_hints(choosing.free, rows))


def _rows_awake(choosing: Choosing) -> Iterator[int]:
    """Rows of routers and the head, by their role: they never sleep."""
    ranked = choosing.chosen.get(NodeFact.ROLE)
    if not ranked or ranked[0].confidence < LEAST_CONFIDENCE:
        return
    found = ranked[0].found
    reader = reader_for(Kind.ROLE, found.reading, found.words)
    for row, value in found.column.values.items():
        with suppress(ReadingError):
            if reader.read(value) in (Role.ROUTER, Role.HEAD):
                yield row


def _choose_counters(choosing: Choosing) -> None:
    """Nothing in a number tells sent from received: only names do, so without one neither is taken."""
    hints = sorted(counter_hints(choosing.free, choosing.addresses_turned), key=lambda hint: -hint.score)
    for fact in (NodeFact.OUTGOING_COUNTER, NodeFact.INCOMING_COUNTER):
        other = NodeFact.INCOMING_COUNTER if fact is NodeFact.OUTGOING_COUNTER else NodeFact.OUTGOING_COUNTER
        named = [
            hint for hint in hints if name_score(fact, hint.names) > max(0.0, name_score(other, hint.names))
        ]
        if named:
            choosing.choose(fact, named)
        elif hints:
            choosing.chosen[fact] = [
                Ranked(hint.found, _UNNAMED_COUNTER, f"{hint.reason}; sent or received cannot be told")
                for hint in hints[:5]
            ]
