"""Whether one radio may take over from another, as a sheet says it: every rule, what must re-join, the record."""

from dataclasses import dataclass
from decimal import Decimal

from fleet.planning.compatibility import Verdict
from fleet.planning.sentences import Sentence
from reports.facts.errors import FactsError


@dataclass(frozen=True, slots=True)
class RuleFound:
    """What one rule found, and why."""

    rule: str
    verdict: Verdict
    why: Sentence


@dataclass(frozen=True, slots=True)
class PairRecord:
    """Bench and live tries from one build to another. lower_percent: the share that passes at least (95 %)."""

    trials: int = 0
    passes: int = 0
    lower_percent: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        if not 0 <= self.passes <= self.trials:
            raise FactsError(f"passes: {self.passes} of {self.trials} trials; right is 0 to {self.trials}")


@dataclass(frozen=True, slots=True)
class Fit:
    """The verdict, its rules in their order, and what must be joined by hand.

    rejoin names devices with their room; uncounted is how many more, not known by name.
    """

    verdict: Verdict
    rules: tuple[RuleFound, ...] = ()
    rejoin: tuple[str, ...] = ()
    uncounted: int = 0
    record: PairRecord = PairRecord()
