"""Minutes between places that the firm uploads in place of great circles: asked by the planner.

How such a file is read: `fleet.planning.visits.reading_matrix`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from fleet.planning.reach import Position
from fleet.planning.visits.span import VisitError
from fleet.planning.visits.travel import Hours, Travel


@dataclass(frozen=True, slots=True)
class ByMatrix:
    """Minutes by pair of codes: of a home, or of a technician, which then means that technician's base.

    There and back may differ. A way that is not there is asked of `otherwise`; without that it raises VisitError.
    """

    hours: Hours
    pairs: Mapping[tuple[str, str], float]
    otherwise: Travel | None = None

    def minutes(self, start: str, start_at: Position, end: str, end_at: Position) -> float:
        """The minutes of the pair; none within one home."""
        if start == end:
            return 0.0
        found = self.pairs.get((start, end))
        if found is not None:
            return found
        if self.otherwise is None:
            raise VisitError(f"The matrix has no way from {start} to {end}.")
        return self.otherwise.minutes(start, start_at, end, end_at)


def missing_ways(
    pairs: Mapping[tuple[str, str], float], homes: Iterable[str], bases: Iterable[str]
) -> list[tuple[str, str]]:
    """The ways that the matrix lacks, in order: between homes, and from each base to each home and back."""
    known, starts = sorted(set(homes)), sorted(set(bases))
    wanted = [(one, other) for one in known for other in known if one != other]
    wanted += [way for base in starts for home in known for way in ((base, home), (home, base))]
    return sorted(way for way in wanted if way[0] != way[1] and way not in pairs)
