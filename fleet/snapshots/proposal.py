"""A proposed field guide: for each fact the candidates with sample, confidence and reason, the best first."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from fleet.snapshots.guide_facts import REQUIRED, Fact, NodeFact
from fleet.snapshots.guide_rules import FieldGuide, FieldRule, NodeRule, NodeTable
from fleet.snapshots.rows import Rows

LEAST_CONFIDENCE = 0.5
"""A guess below this is shown, and not taken unless a person chooses it."""
LEAST_REQUIRED = 0.15
"""The same for facts without which no snapshot can be read: there a poor guess is better than none."""
FIRST_LIST = "nodes[0]"
"""The place of the list that holds most nodes."""

Choice: TypeAlias = int | bool | FieldRule | NodeRule | None


class ChoiceError(ValueError):
    """A choice that the proposal does not offer; the message names it."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way to find a fact.

    rule: None where the head's address is that of its own row. sample: the value as we read it, "(hidden)" for
    keys. confidence: 0 to 1. by_name: other values fit equally well, and only its name puts it first.
    """

    rule: FieldRule | NodeRule | None
    sample: str
    confidence: float
    reason: str
    by_name: bool = False


@dataclass(frozen=True, slots=True)
class ProposedFact:
    """A fact with its candidates. place: by what name choices call it, such as "pan_id" or "nodes[0].role"."""

    place: str
    fact: Fact | NodeFact
    candidates: tuple[Candidate, ...]

    @property
    def best(self) -> Candidate:
        """The one that is taken unless a person chooses otherwise."""
        return self.candidates[0]

    @property
    def alternatives(self) -> tuple[Candidate, ...]:
        """What else fits, the best first."""
        return self.candidates[1:]

    @property
    def is_taken(self) -> bool:
        """Whether it goes into the guide without a person's word."""
        # A fact of a node may have the same name as one of the mesh, and then they are equal.
        is_of_mesh = isinstance(self.fact, Fact)
        must_be = self.fact in REQUIRED if is_of_mesh else self.fact is NodeFact.EXTENDED_ADDRESS
        return self.best.confidence >= (LEAST_REQUIRED if must_be else LEAST_CONFIDENCE)


@dataclass(frozen=True, slots=True)
class ProposedList:
    """A list that tells about nodes. place: "nodes[0]"; adds: its rows are nodes; count: how many rows it has."""

    place: str
    rows: Rows
    adds: bool
    count: int
    confidence: float
    reason: str
    facts: tuple[ProposedFact, ...]

    @property
    def is_taken(self) -> bool:
        """Whether it goes into the guide without a person's word: the first list always does."""
        return self.place == FIRST_LIST or self.confidence >= LEAST_CONFIDENCE


@dataclass(frozen=True, slots=True)
class Missing:
    """A fact that was not found. required: a snapshot cannot be read without it."""

    fact: Fact | NodeFact
    required: bool
    reason: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a guide for a document could be.

    other_lists: lists that could hold the nodes instead, in words. copies: further places of the outgoing
    counter. left_out: the document was too large to look at everything.
    """

    fingerprint: str
    facts: tuple[ProposedFact, ...] = ()
    lists: tuple[ProposedList, ...] = ()
    other_lists: tuple[str, ...] = ()
    missing: tuple[Missing, ...] = ()
    head_listed: bool = False
    copies: tuple[FieldRule, ...] = ()
    left_out: bool = False

    @property
    def has_nodes(self) -> bool:
        """Whether a list of nodes was found."""
        return bool(self.lists)

    @property
    def is_complete(self) -> bool:
        """Whether everything that a snapshot must have was found."""
        return self.has_nodes and not any(missing.required for missing in self.missing)

    def all_facts(self) -> Iterator[ProposedFact]:
        """Facts of the mesh, then those of every list."""
        yield from self.facts
        for proposed in self.lists:
            yield from proposed.facts

    def guide(
        self,
        name: str,
        choices: Mapping[str, Choice] | None = None,
        fixed: Mapping[Fact, str | int] | None = None,
    ) -> FieldGuide:
        """The guide with each fact's best candidate, unless chosen otherwise.

        choices: place -> number of the candidate (0 is the best), a rule of one's own, or None to leave the fact
        out; a list's place -> True or False. fixed: facts that the document does not state. Raises ChoiceError.
        """
        wanted = dict(choices or {})
        rules = {Fact(fact.fact): rule for fact in self.facts if (rule := _chosen(fact, wanted)) is not None}
        tables = [table for proposed in self.lists if (table := _table(proposed, wanted)) is not None]
        rules |= {Fact(place): rule for place, rule in _own_rules("", wanted, frozenset(Fact), FieldRule)}
        if wanted:
            raise ChoiceError(f"{next(iter(wanted))[:60]}: the proposal has no such place")
        return FieldGuide(
            name=name,
            rules={fact: rule for fact, rule in rules.items() if isinstance(rule, FieldRule)},
            tables=tuple(tables),
            fingerprints=(self.fingerprint,),
            fixed=dict(fixed or {}),
            head_listed=self.head_listed,
            counter_copies=self.copies if Fact.OUTGOING_COUNTER in rules else (),
        )


def _table(proposed: ProposedList, wanted: dict[str, Choice]) -> NodeTable | None:
    is_taken = wanted.pop(proposed.place, proposed.is_taken)
    rules = {NodeFact(fact.fact): _chosen(fact, wanted) for fact in proposed.facts}
    own = _own_rules(f"{proposed.place}.", wanted, frozenset(NodeFact), NodeRule)
    rules |= {NodeFact(place): rule for place, rule in own}
    told = {fact: rule for fact, rule in rules.items() if isinstance(rule, NodeRule)}
    return NodeTable(proposed.rows, told, proposed.adds) if is_taken else None


def _own_rules(
    prefix: str, wanted: dict[str, Choice], facts: frozenset[str], kind: type[FieldRule] | type[NodeRule]
) -> list[tuple[str, FieldRule | NodeRule]]:
    """Rules that a person wrote for facts that were not proposed; leaving such a fact out changes nothing."""
    places = [place for place in wanted if place.startswith(prefix) and place.removeprefix(prefix) in facts]
    chosen = [
        (place.removeprefix(prefix), wanted.pop(place)) for place in places if _is_own(wanted[place], kind)
    ]
    return [(place, rule) for place, rule in chosen if isinstance(rule, FieldRule | NodeRule)]


def _is_own(choice: Choice, kind: type[FieldRule] | type[NodeRule]) -> bool:
    return choice is None or isinstance(choice, kind)


def _chosen(proposed: ProposedFact, wanted: dict[str, Choice]) -> FieldRule | NodeRule | None:
    if proposed.place not in wanted:
        return proposed.best.rule if proposed.is_taken else None
    choice = wanted.pop(proposed.place)
    if choice is None or isinstance(choice, FieldRule | NodeRule):
        return choice
    if isinstance(choice, bool) or not 0 <= choice < len(proposed.candidates):
        raise ChoiceError(f"{proposed.place}: right is 0 to {len(proposed.candidates) - 1}")
    return proposed.candidates[choice].rule
