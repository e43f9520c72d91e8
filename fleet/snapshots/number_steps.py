"""A document as the steps its numbers took since an earlier one with the same text around them.

From one day to the next a quiet mesh changes counters and times only, so the later document is told by small
differences. Numbers that stand after the same text (all counters of one name, all times of one name) form a
column; a column's middle step is told once, and each of its numbers tells only what its own step differs.

Told: how many columns changed; for each the gap since the last one and its middle step; then for every
number of these columns the bit length of its difference. Whole numbers take 7 bits an octet, lowest first,
high bit for "more follows"; a sign goes into bit 0. Bits: the differences without their leading ones.
"""

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from statistics import median_low
from typing import NamedTuple

_NUMBER = re.compile(rb"([0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}|[0-9]+)")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_SECOND = timedelta(seconds=1)
_MOST_DIGITS = 18


class Steps(NamedTuple):
    """What leads from one document to the next: the part that compresses, and the part that does not."""

    told: bytes
    bits: bytes


class StepsError(ValueError):
    """Steps that do not fit the document they are taken from."""


def steps_between(base: bytes, body: bytes) -> Steps | None:
    """What leads from base to body, or None where more than numbers differ."""
    old, new = _NUMBER.split(base), _NUMBER.split(body)
    if old[::2] != new[::2]:
        return None
    columns = _columns(old)
    try:
        steps = _written([[_step(old[at], new[at]) for at in column] for column in columns])
        return steps if _followed(old, columns, steps) == body else None
    except (ValueError, OverflowError):
        return None


def follow_steps(base: bytes, steps: Steps) -> bytes:
    """The document to which the steps lead. Raises StepsError."""
    old = _NUMBER.split(base)
    try:
        return _followed(old, _columns(old), steps)
    except (ValueError, IndexError, OverflowError) as error:
        raise StepsError("these steps do not belong to this base document") from error


def _columns(pieces: list[bytes]) -> list[list[int]]:
    """Places of the numbers, grouped by the text before each, back to the last comma or brace."""
    columns: dict[bytes, list[int]] = {}
    for at in range(1, len(pieces), 2):
        text = pieces[at - 1]
        columns.setdefault(text[max(text.rfind(b","), text.rfind(b"{")) + 1 :], []).append(at)
    return list(columns.values())


def _step(old: bytes, new: bytes) -> int:
    return 0 if old == new else _value(new) - _value(old)


def _value(number: bytes) -> int:
    if b"T" in number:
        return (datetime.fromisoformat(f"{number.decode()}+00:00") - _EPOCH) // _SECOND
    if len(number) > _MOST_DIGITS:
        raise ValueError("a number too long to be a counter")
    return int(number)


def _moved(number: bytes, step: int) -> bytes:
    """The number after its step, in the same notation and at least as wide."""
    moved = _value(number) + step
    if b"T" in number:
        return (_EPOCH + moved * _SECOND).isoformat()[:19].encode()
    return str(moved).zfill(len(number)).encode()


def _written(columns: list[list[int]]) -> Steps:
    changed = [(number, column) for number, column in enumerate(columns) if any(column)]
    told, last = bytearray(), -1
    differences: list[int] = []
    _put(told, len(changed))
    for number, column in changed:
        middle = median_low(column)
        _put(told, number - last - 1)
        _put(told, _unsigned(middle))
        differences += [_unsigned(step - middle) for step in column]
        last = number
    told += bytes(difference.bit_length() for difference in differences)
    digits = "".join(f"{difference:b}"[1:] for difference in differences)
    return Steps(bytes(told), _from_digits(digits))


def _followed(old: list[bytes], columns: list[list[int]], steps: Steps) -> bytes:
    told, pieces, number = iter(steps.told), old.copy(), -1
    middles: list[tuple[int, int]] = []
    for _ in range(_take(told)):
        number += _take(told) + 1
        middle = _signed(_take(told))
        middles += [(at, middle) for at in columns[number]]
    lengths = bytes(told)
    digits, start = _to_digits(steps.bits), 0
    for (at, middle), length in zip(middles, lengths, strict=True):
        end = start + max(0, length - 1)
        step = middle + _signed(int("1" + digits[start:end], 2) if length else 0)
        start = end
        if step:
            pieces[at] = _moved(old[at], step)
    return b"".join(pieces)


def _from_digits(digits: str) -> bytes:
    octets = (len(digits) + 7) // 8
    return int(digits.ljust(8 * octets, "0") or "0", 2).to_bytes(octets, "big")


def _to_digits(bits: bytes) -> str:
    return f"{int.from_bytes(bits, 'big'):0{8 * len(bits)}b}"


def _unsigned(number: int) -> int:
    return number << 1 if number >= 0 else (-number << 1) - 1


def _signed(number: int) -> int:
    return -(number + 1 >> 1) if number & 1 else number >> 1


def _put(target: bytearray, number: int) -> None:
    while number > 0x7F:
        target.append(number & 0x7F | 0x80)
        number >>= 7
    target.append(number)


def _take(source: Iterator[int]) -> int:
    number = shift = 0
    for octet in source:
        number |= (octet & 0x7F) << shift
        if octet < 0x80:
            return number
        shift += 7
    raise ValueError("the steps end too soon")
