"""What the columns of one list tell about its nodes: for each fact the candidates, the best first."""

from collections.abc import Collection, Iterable
from contextlib import suppress
from dataclasses import dataclass, field

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
from fleet.snapshots.evidence.sights import SHORT
from fleet.snapshots.evidence.tables import Table
from fleet.snapshots.facts import Role
from fleet.snapshots.guide_facts import Kind, NodeFact
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


@dataclass(slots=True, repr=False)
class Choosing:
    """The columns that are still free, and what was chosen so far."""

    free: list[Column]
    chosen: NodeFacts = field(default_factory=dict)

    def choose(self, fact: NodeFact, hints: Iterable[Hint[Found]], keep: float = 0.0) -> Ranked[Found] | None:
        """Rank the candidates for a fact; the best one's column is taken by it."""
        ranked = rank(fact, [hint for hint in hints if hint.score >= keep])
        if not ranked:
            return None
        self.chosen[fact] = ranked
        if ranked[0].confidence >= LEAST_CONFIDENCE:
            self.take(ranked[0].found.column)
        return ranked[0]

    def take(self, column: Column) -> None:
        """The column holds a fact, and no other."""
        self.free = [other for other in self.free if other is not column]


def choose_others(choosing: Choosing, rows: int, parents: Collection[int], head: Collection[int]) -> None:
    """All facts of nodes but addresses and parents. parents, head: numbers of the rows that are."""
    choosing.choose(NodeFact.LINK_KEY, key_hints(choosing.free))
    choosing.choose(NodeFact.ROLE, role_hints(choosing.free, rows, parents, head))
    choosing.choose(NodeFact.POWER, word_hints(choosing.free, rows, POWER_WORDS))
    choosing.choose(NodeFact.LINK_KEY_KIND, word_hints(choosing.free, rows, LINK_KEY_WORDS))
    choosing.choose(NodeFact.SLEEPS, sleep_hints(choosing.free, rows, parents))
    choosing.choose(NodeFact.LAST_HEARD, time_hints(choosing.free))
    _choose_counters(choosing)
    choosing.choose(NodeFact.LONGEST_SILENCE_SECONDS, silence_hints(choosing.free))
    choosing.choose(NodeFact.LABEL, label_hints(choosing.free, rows))
    choosing.choose(NodeFact.ROOM, room_hints(choosing.free, rows))


def _choose_counters(choosing: Choosing) -> None:
    """Nothing in a number tells sent from received: only names do, so without one neither is taken."""
    hints = list(counter_hints(choosing.free))
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


def head_rows(role: Found | None, short: Found | None) -> list[int]:
    """The rows that are the head radio's: the only one with short address 0, else with the role head."""
    if short is not None:
        numbers = short.column.numbers(SHORT)
        zero = [row for row, number in numbers.by_row.items() if number == 0] if numbers else []
        if len(zero) == 1:
            return zero
    if role is None:
        return []
    reader = reader_for(Kind.ROLE, role.reading, role.words)
    heads = []
    for row, value in role.column.values.items():
        with suppress(ReadingError):
            heads += [row] if reader.read(value) is Role.HEAD else []
    return heads if len(heads) == 1 else []
