"""Short addresses, link keys, counters and times among the columns of a list of nodes."""

from collections.abc import Iterator, Sequence
from datetime import timedelta
from typing import NamedTuple

from fleet.mesh.addresses import LAST_NODE_SHORT
from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.columns import Column, Numbers
from fleet.snapshots.evidence.counter_order import ways_round
from fleet.snapshots.evidence.moments import moments
from fleet.snapshots.evidence.names import name_score
from fleet.snapshots.evidence.ranking import Hint
from fleet.snapshots.evidence.sights import COUNTER, KEY, SHORT
from fleet.snapshots.guide_facts import NodeFact
from fleet.snapshots.guide_rules import NodeRule
from fleet.snapshots.readings import TURNED, Reading, Words
from fleet.snapshots.weak_keys import PUBLIC_LINK_KEY

_LEAST_DISTINCT = 0.9
_OCTET = 255
_PUBLIC = int.from_bytes(PUBLIC_LINK_KEY, "big")
_FEW = 3
_HEARD_WITHIN = timedelta(days=14)
_WEEK_SECONDS = 604_800


class Found(NamedTuple):
    """A column and how it is read."""

    column: Column
    reading: Reading
    words: Words = ()

    @property
    def rule(self) -> NodeRule:
        """As a field guide writes it."""
        return NodeRule(self.column.expression, self.reading, self.column.source, self.words)


def short_hints(
    columns: Sequence[Column], rows: int, octets_are_turned: bool = False, is_decimal: bool = False
) -> Iterator[Hint[Found]]:
    """Short addresses: 16 bits, one of its own in each row, below the broadcasts (Zigbee NWK).

    octets_are_turned, is_decimal: how the document writes its other addresses.
    """
    for column in columns:
        numbers = column.numbers(SHORT)
        if numbers is None or numbers.distinct < _LEAST_DISTINCT * len(numbers.by_row):
            continue
        if is_decimal and numbers.reading is Reading.HEX and all(map(_is_decimal, column.values.values())):
            numbers = Numbers(Reading.NUMBER, {row: int(str(value)) for row, value in column.values.items()})
        reading = _order_of_shorts(numbers, octets_are_turned)
        if reading is None:
            continue
        score, form = _short_score(numbers)
        reason = f"{form}, a different one in each row"
        yield Hint(
            Found(column, reading), score * (0.7 + 0.3 * len(numbers.by_row) / rows), reason, column.names
        )


def _is_decimal(value: JsonValue) -> bool:
    return isinstance(value, str) and value.strip().isdecimal() and value.isascii()


def _short_score(numbers: Numbers) -> tuple[float, str]:
    values = set(numbers.by_row.values())
    if numbers.reading is Reading.HEX:
        return 0.9, "16 bits in hex"
    if numbers.reading is Reading.OCTETS:
        return 0.8, "two octets"
    is_count = len(values) > _FEW and max(values) - min(values) < 2 * len(values)
    if is_count or max(values) <= _OCTET:
        return 0.35, "small whole numbers"
    return 0.75, "whole numbers of 16 bits"


def _order_of_shorts(numbers: Numbers, octets_are_turned: bool) -> Reading | None:
    values = list(numbers.by_row.values())
    as_it_stands = sum(value > LAST_NODE_SHORT for value in values)
    other_way = sum(value % 256 * 256 + value // 256 > LAST_NODE_SHORT for value in values)
    if min(as_it_stands, other_way) > 0.1 * len(values):
        return None
    can_turn = numbers.reading in (Reading.OCTETS, Reading.HEX)
    turned = octets_are_turned if numbers.reading is Reading.OCTETS else False
    if can_turn and as_it_stands != other_way and max(as_it_stands, other_way) > 1:
        turned = other_way < as_it_stands
    return TURNED[numbers.reading] if turned else numbers.reading


def key_hints(columns: Sequence[Column]) -> Iterator[Hint[Found]]:
    """Link keys: 128 bits; different ones, or the public one."""
    for column in columns:
        numbers = column.numbers(KEY)
        if numbers is None:
            continue
        values = list(numbers.by_row.values())
        score, reason = 0.9, f"128 bits in {len(values)} rows, different ones"
        if set(values) <= {0, _PUBLIC}:
            reason = "128 bits, the public default link key"
        elif _are_uuids(values):
            score, reason = 0.2, "128 bits that look like UUIDs"
        elif numbers.distinct == 1 and len(values) >= _FEW:
            score, reason = 0.3, "128 bits, the same in all rows"
        yield Hint(Found(column, numbers.reading), score, reason, column.names)


def _are_uuids(values: Sequence[int]) -> bool:
    """RFC 9562: version 4 and variant at their places in every one."""
    return len(values) >= _FEW and all(value >> 76 & 0xF == 4 and value >> 62 & 3 == 2 for value in values)


def counter_hints(columns: Sequence[Column], addresses_turned: bool = False) -> Iterator[Hint[Found]]:
    """Frame counters: 32 bits, mostly different ones, past what an octet holds, no times; either way round."""
    for column in columns:
        numbers = column.numbers(COUNTER)
        if numbers is None or moments(list(column.values.values())) is not None:
            continue
        if len(numbers.by_row) >= _FEW and numbers.distinct < 0.5 * len(numbers.by_row):
            continue
        for way in ways_round(column, numbers, addresses_turned):
            most = max(way.numbers.by_row.values())
            if most > _OCTET:
                score = (0.65 if most > 2**16 else 0.55) - way.less
                reason = f"numbers up to {most}" + (
                    "; their octets may stand either way" if way.is_doubtful else ""
                )
                yield Hint(Found(column, way.numbers.reading), score, reason, column.names)


def time_hints(columns: Sequence[Column]) -> Iterator[Hint[Found]]:
    """Times at which a node was heard: most of them lie near the latest, other than the days they joined."""
    for column in columns:
        found = moments(list(column.values.values()))
        if found is not None:
            times = sorted(found[1])
            is_near = times[-1] - times[len(times) // 2] <= _HEARD_WITHIN
            reason = f"times up to {times[-1]:%Y-%m-%d %H:%M} UTC" + (
                ", most of them near that" if is_near else ""
            )
            yield Hint(Found(column, found[0]), 0.65 if is_near else 0.4, reason, column.names)


def silence_hints(columns: Sequence[Column]) -> Iterator[Hint[Found]]:
    """Seconds up to a week, which only a name tells from other numbers."""
    for column in columns:
        numbers = column.numbers(COUNTER)
        if numbers is None or name_score(NodeFact.LONGEST_SILENCE_SECONDS, column.names) <= 0:
            continue
        if all(0 < number <= _WEEK_SECONDS for number in numbers.by_row.values()):
            reason = "numbers up to a week of seconds, and the name says so"
            yield Hint(Found(column, Reading.SIGNED_NUMBER), 0.5, reason, column.names)
