"""Columns of a list: what all rows have under one name, and what the values have in common."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.sights import SHORT, Sight, sights
from fleet.snapshots.expressions import expression_of
from fleet.snapshots.readings import Reading
from fleet.snapshots.rows import Source

_LEAST_SHARE = 0.9
_MANY = 4


@dataclass(frozen=True, slots=True, repr=False)
class Numbers:
    """All values of a column as numbers of one width in one notation, by row."""

    reading: Reading
    by_row: Mapping[int, int]

    @property
    def distinct(self) -> int:
        """How many different ones."""
        return len(set(self.by_row.values()))


@dataclass(slots=True, repr=False, eq=False)
class Column:
    """What stands under one name in the rows that were looked at. values: row number -> value, if any.

    names: what the column is called, for ties. other_expression: where it is not simply the steps.
    """

    source: Source
    steps: tuple[str | int, ...]
    values: dict[int, JsonValue]
    names: tuple[str, ...] = ()
    other_expression: str | None = None
    _sights: dict[int, list[Sight]] | None = field(default=None, repr=False)

    @property
    def expression(self) -> str:
        """Relative to the source."""
        return self.other_expression or expression_of(self.steps)

    def numbers(self, width: int) -> Numbers | None:
        """The values as numbers of so many octets, where nine in ten agree on a notation."""
        seen = self._seen()
        by_reading: dict[Reading, dict[int, int]] = {}
        for row, found in seen.items():
            for sight in found:
                if sight.width == width:
                    by_reading.setdefault(sight.reading, {})[row] = sight.number
        usual = {
            reading: by_row
            for reading, by_row in by_reading.items()
            if len(by_row) >= _LEAST_SHARE * len(seen)
        }
        if not usual:
            return None
        reading = self._notation(usual, width)
        return Numbers(reading, usual[reading])

    def _seen(self) -> dict[int, list[Sight]]:
        if self._sights is None:
            self._sights = {row: sights(value) for row, value in self.values.items()}
        return self._sights

    def _notation(self, usual: Mapping[Reading, Mapping[int, int]], width: int) -> Reading:
        if Reading.NUMBER not in usual or Reading.HEX not in usual:
            return max(usual, key=lambda reading: len(usual[reading]))
        if len(usual[Reading.NUMBER]) < len(usual[Reading.HEX]) or self._keeps_zeros(width):
            return Reading.HEX
        # Four digits each and not one letter: chance for a value or two, not for many.
        fills = width == SHORT and all(
            isinstance(value, str) and len(value.strip()) == 4 for value in self.values.values()
        )
        return Reading.HEX if fills and len(self.values) < _MANY else Reading.NUMBER

    def _keeps_zeros(self, width: int) -> bool:
        """Values of one length, some of which begin with a zero, are no decimal numbers."""
        texts = [value.strip() for value in self.values.values() if isinstance(value, str)]
        padded = any(text.startswith("0") and len(text) > 1 for text in texts)
        return padded and {len(text) for text in texts} == {2 * width}


def of_one(value: JsonValue) -> Column:
    """A single value as a column of one row."""
    return Column(Source.ITEM, (), {0: value})
