"""A travel matrix that the firm uploads in place of great circles: read, checked, and asked."""

import csv
import io
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from fleet.planning.reach import Position
from fleet.planning.visits.span import VisitError
from fleet.planning.visits.travel import Hours

LONGEST_MINUTES = 7 * 24 * 60
COLUMNS = ["from", "to", "minutes"]


@dataclass(frozen=True, slots=True)
class ByMatrix:
    """Minutes by pair of codes: of a home, or of a technician, which then means that technician's base.

    There and back may differ. Raises VisitError for a pair that is not there.
    """

    hours: Hours
    pairs: Mapping[tuple[str, str], float]

    def minutes(self, start: str, start_at: Position, end: str, end_at: Position) -> float:
        """The minutes of the pair; none within one home."""
        if start == end:
            return 0.0
        found = self.pairs.get((start, end))
        if found is None:
            raise VisitError(f"The matrix has no way from {start} to {end}.")
        return found


def read_matrix(text: str) -> dict[tuple[str, str], float]:
    """Pairs from CSV (RFC 4180) with the columns from, to, minutes. Raises VisitError with line and value."""
    rows = csv.reader(io.StringIO(text))
    head = [name.strip().lower() for name in next(rows, [])]
    if head != COLUMNS:
        raise VisitError(f"The first line is {','.join(head)!r}; it must be {','.join(COLUMNS)}.")
    pairs: dict[tuple[str, str], float] = {}
    for row in rows:
        if not any(cell.strip() for cell in row):
            continue
        where = f"Line {rows.line_num}"
        if len(row) != len(COLUMNS):
            raise VisitError(f"{where} has {len(row)} columns; it must have 3: {', '.join(COLUMNS)}.")
        start, end, minutes = (cell.strip() for cell in row)
        if not start or not end:
            raise VisitError(f"{where} leaves out where the way begins or ends.")
        if (start, end) in pairs:
            raise VisitError(f"{where} gives the way from {start} to {end} a second time.")
        pairs[start, end] = _minutes(minutes, where, start == end)
    return pairs


def missing_pairs(pairs: Mapping[tuple[str, str], float], places: Iterable[str]) -> list[tuple[str, str]]:
    """The ways between places that the matrix lacks, in order."""
    known = sorted(set(places))
    return [(one, other) for one in known for other in known if one != other and (one, other) not in pairs]


def _minutes(text: str, where: str, same: bool) -> float:
    try:
        minutes = float(text)
    except ValueError:
        minutes = math.nan
    if not 0 <= minutes <= LONGEST_MINUTES:
        raise VisitError(f"{where} has {text!r} minutes; it must be a number from 0 to {LONGEST_MINUTES}.")
    if same and minutes:
        raise VisitError(f"{where} has {text} minutes from a place to itself; it must be 0.")
    return minutes
