"""One value by one rule of a field guide: found, read, or named as a problem."""

from dataclasses import dataclass, field

from fleet.snapshots.decoding import JsonValue, Problem
from fleet.snapshots.guide_facts import Fact, Kind, NodeFact, is_secret, words
from fleet.snapshots.paths import HIDDEN, shown
from fleet.snapshots.readings import Canonical, Reader, ReadingError

MOST_PROBLEMS = 100


@dataclass(slots=True)
class Problems:
    """What was wrong so far, the first MOST_PROBLEMS of it."""

    found: list[Problem] = field(default_factory=list)
    more: bool = False

    def add(self, problem: Problem) -> None:
        """Keep the problem, or only that there are more."""
        if len(self.found) < MOST_PROBLEMS:
            self.found.append(problem)
        else:
            self.more = True

    def all(self) -> tuple[Problem, ...]:
        """For a ReadError; a last line says where some were left out."""
        if not self.more:
            return tuple(self.found)
        rest = Problem("$", "", f"the {MOST_PROBLEMS} values above to be right; more are wrong after them")
        return (*self.found, rest)


def is_nothing(value: JsonValue) -> bool:
    """What documents write where they know nothing: null, an empty text, an empty list or object."""
    return value is None or value == "" or value == [] or value == {}


def taken(
    fact: Fact | NodeFact, kind: Kind, reader: Reader, value: JsonValue, place: str, problems: Problems
) -> Canonical | None:
    """The value as our fact, or None with the problem noted."""
    try:
        return reader.read(value)
    except ReadingError as error:
        problems.add(Problem(place, HIDDEN if is_secret(kind) else shown(value), f"{words(fact)}: {error}"))
        return None
