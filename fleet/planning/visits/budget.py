"""How long to look for a plan, and whom to tell on the way. The clock comes from outside."""

from collections.abc import Callable
from dataclasses import dataclass


def _never() -> bool:
    return False


def _nobody(share: float) -> None:
    del share


@dataclass(frozen=True, slots=True)
class Budget:
    """Seconds by a clock that only goes forward, at most so many rounds of the search, and a way to stop at once.

    With rounds and ample seconds the answer depends on the seed alone. on_progress hears the share that is used up.
    """

    seconds: float
    clock: Callable[[], float]
    seed: int = 1
    rounds: int | None = None
    cancelled: Callable[[], bool] = _never
    on_progress: Callable[[float], None] = _nobody


class Deadline:
    """A part of a budget that has begun."""

    def __init__(self, budget: Budget, begin: float, end: float) -> None:
        self._budget, self._begin, self._end = budget, begin, end

    @classmethod
    def begin(cls, budget: Budget) -> "Deadline":
        """The whole budget, from now on."""
        now = budget.clock()
        return cls(budget, now, now + budget.seconds)

    def part(self, share: float) -> "Deadline":
        """From now for a share of the time that is left."""
        now = self._budget.clock()
        return Deadline(self._budget, self._begin, now + max(0.0, self._end - now) * share)

    def over(self) -> bool:
        """Whether time is up or somebody called it off; tells the share used of the whole budget."""
        now = self._budget.clock()
        if self._budget.seconds > 0:
            self._budget.on_progress(min(1.0, (now - self._begin) / self._budget.seconds))
        return now >= self._end or self._budget.cancelled()
