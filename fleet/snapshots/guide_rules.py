"""A field guide as frozen data: which expression and which reading gives each fact.

A guide maps each of our facts to a JMESPath expression and a value reading. It is proposed by the tool,
confirmed once by a person, and then reads every document of the layouts whose fingerprints it carries.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fleet.snapshots.guide_facts import Fact, NodeFact
from fleet.snapshots.readings import Reading, Words
from fleet.snapshots.rows import Rows, Source


@dataclass(frozen=True, slots=True)
class FieldRule:
    """Where one fact stands and how it is read. words: only for the reading WORDS."""

    expression: str
    reading: Reading
    words: Words = ()


@dataclass(frozen=True, slots=True)
class NodeRule:
    """Where one fact of a node stands: an expression relative to source, which is mostly the item itself."""

    expression: str
    reading: Reading
    source: Source = Source.ITEM
    words: Words = ()


@dataclass(frozen=True, slots=True)
class NodeTable:
    """One list that tells about nodes.

    adds: its rows are nodes of the mesh. Otherwise they only tell more about nodes of other lists, which they
    name by extended address, short address or mark.
    """

    rows: Rows
    rules: Mapping[NodeFact, NodeRule]
    adds: bool = True


@dataclass(frozen=True, slots=True)
class FieldGuide:
    """How to read one layout.

    version: raised with each confirmed change. fingerprints: the layouts it was confirmed for. fixed: what
    holds for every document of the layout without standing in it. head_listed: one of the rows is the head
    radio itself; where no rule gives the head address, it is the row with short address 0 or the role head.
    counter_copies: further places that hold the network's outgoing counter, for writing it back.
    """

    name: str
    rules: Mapping[Fact, FieldRule]
    tables: tuple[NodeTable, ...]
    version: int = 1
    fingerprints: tuple[str, ...] = ()
    fixed: Mapping[Fact, str | int] = field(default_factory=dict)
    head_listed: bool = False
    counter_copies: tuple[FieldRule, ...] = ()
