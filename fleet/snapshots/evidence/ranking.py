"""Candidates for one fact, ranked by what their values show; names only decide between equals."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from fleet.snapshots.evidence.names import name_score
from fleet.snapshots.guide_facts import Fact, NodeFact

EQUAL = 0.1
"""Scores that differ by less are equally good."""
BY_NAME_MOST = 0.7
UNDECIDED = 0.6
_MOST_KEPT = 5

Found = TypeVar("Found")


@dataclass(frozen=True, slots=True, repr=False)
class Hint(Generic[Found]):
    """Something that could be the fact. score: 0 to 1, from values alone; names: what it is called."""

    found: Found
    score: float
    reason: str
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, repr=False)
class Ranked(Generic[Found]):
    """A candidate in its place. by_name: it leads only because of what it is called."""

    found: Found
    confidence: float
    reason: str
    by_name: bool = False


def rank(fact: Fact | NodeFact, hints: Sequence[Hint[Found]]) -> list[Ranked[Found]]:
    """The best first, five at most. Among those equal to the best by value the one with the best name leads."""
    ordered = sorted(hints, key=lambda hint: -hint.score)
    if not ordered:
        return []
    equals = [hint for hint in ordered if hint.score > ordered[0].score - EQUAL]
    scores = [name_score(fact, hint.names) for hint in equals]
    lead = max(range(len(equals)), key=lambda place: (scores[place], equals[place].score, -place))
    rivals = [score for place, score in enumerate(scores) if place != lead]
    decided = not rivals or scores[lead] > max(rivals)
    first = equals[lead]
    rest = sorted((hint for hint in ordered if hint is not first), key=_order_after(fact))
    return [
        _first(first, len(rivals), decided),
        *(Ranked(hint.found, hint.score * UNDECIDED, hint.reason) for hint in rest[: _MOST_KEPT - 1]),
    ]


def _order_after(fact: Fact | NodeFact) -> Callable[[Hint[Found]], tuple[float, float]]:
    return lambda hint: (-round(hint.score, 1), -name_score(fact, hint.names))


def _first(hint: Hint[Found], rivals: int, decided: bool) -> Ranked[Found]:
    if not rivals:
        return Ranked(hint.found, min(1.0, hint.score), hint.reason)
    others = "one other value fits" if rivals == 1 else f"{rivals} other values fit"
    if decided:
        reason = f"{hint.reason}; {others} equally well, and of these its name suits best"
        return Ranked(hint.found, min(BY_NAME_MOST, hint.score), reason, by_name=True)
    return Ranked(hint.found, hint.score * UNDECIDED, f"{hint.reason}; {others} equally well")
