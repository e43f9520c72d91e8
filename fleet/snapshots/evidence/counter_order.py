"""Which way round the octets of nodes' frame counters stand, as far as their sizes tell.

A counter is rarely past half of its space and most leave the uppermost of their four octets empty, so that a
column that reads small one way round and large the other is read the small way.
"""

import re
from collections.abc import Iterator
from typing import NamedTuple

from fleet.mesh.counters import HALF_WAY
from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.columns import Column, Numbers
from fleet.snapshots.evidence.sights import COUNTER
from fleet.snapshots.readings import TURNED, Reading

_CLEAR = 0.5
_LESS_LIKELY = 0.2
_AS_GOOD = 0.05
_FEW = 3
_NOT_DIGIT = re.compile(r"^0[xX]|[\s:.,;_\-]+")


class Way(NamedTuple):
    """One way to read a column. less: how much less likely than the best; is_doubtful: sizes cannot tell."""

    numbers: Numbers
    less: float
    is_doubtful: bool


def ways_round(column: Column, numbers: Numbers, addresses_turned: bool) -> Iterator[Way]:
    """Each way to read a column whose values fill four octets, the likelier first; just one where they do not."""
    in_octets = _in_octets(column, numbers)
    if in_octets is None:
        yield Way(numbers, 0.0, False)
        return
    turned = {row: _turned(value) for row, value in in_octets.by_row.items()}
    other = Numbers(TURNED[in_octets.reading], turned)
    if numbers is not in_octets:
        # Eight digits and not one letter in a row or two: most likely decimal.
        yield Way(numbers, 0.0, True)
        yield Way(other, _AS_GOOD if _smallness(other) > _smallness(in_octets) else _LESS_LIKELY, True)
        return
    lean = _smallness(other) - _smallness(in_octets)
    if abs(lean) >= _CLEAR and (len(in_octets.by_row) >= _FEW or addresses_turned == (lean > 0)):
        first, second = (other, in_octets) if lean > 0 else (in_octets, other)
        yield Way(first, 0.0, False)
        yield Way(second, _LESS_LIKELY, False)
        return
    first, second = (other, in_octets) if addresses_turned else (in_octets, other)
    yield Way(first, 0.0, True)
    yield Way(second, _AS_GOOD, True)


def _in_octets(column: Column, numbers: Numbers) -> Numbers | None:
    """The values as octets that can stand either way round, or None where one of them does not fill its width."""
    if numbers.reading is Reading.OCTETS:
        return numbers
    if not all(map(_fills, column.values.values())):
        return None
    if numbers.reading is Reading.NUMBER and len(numbers.by_row) < _FEW:
        return Numbers(Reading.HEX, {row: int(str(value), 16) for row, value in column.values.items()})
    return numbers if numbers.reading is Reading.HEX else None


def _fills(value: JsonValue) -> bool:
    return isinstance(value, str) and len(_NOT_DIGIT.sub("", value.strip())) == 2 * COUNTER


def _smallness(numbers: Numbers) -> float:
    """Which share leaves its uppermost octet empty, less the share past half of the space."""
    values = numbers.by_row.values()
    return (sum(value >> 24 == 0 for value in values) - sum(value >= HALF_WAY for value in values)) / len(
        values
    )


def _turned(value: int) -> int:
    return int.from_bytes(value.to_bytes(COUNTER, "big"), "little")
