"""The original document with its counters advanced, and not one other octet changed.

A radio that takes over must speak with higher numbers than any before it (C1). The number comes from the
ledger; here it is only put in its places, in the notation that stands there.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from fleet.mesh.counters import SPACE_END
from fleet.snapshots.decoding import MAX_DEPTH, MAX_VALUES, decode
from fleet.snapshots.paths import Path, parse_path
from fleet.snapshots.scanning import Scalar, scan


class Writing(StrEnum):
    """How a number is written at its place."""

    NUMBER = "number"
    DECIMAL_TEXT = "decimal_text"
    HEX_TEXT = "hex_text"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a counter stands, such as "$.security.outgoingCounter"."""

    path: str
    writing: Writing = Writing.NUMBER


class WriteBackError(ValueError):
    """A number that cannot be put at its place; the message names the place and what would be right."""


_FORMS = {
    Writing.NUMBER: (re.compile(rb"(0|[1-9]\d*)"), "a whole number"),
    Writing.DECIMAL_TEXT: (re.compile(rb'"(\d+)"'), "decimal digits in quotes"),
    Writing.HEX_TEXT: (re.compile(rb'"(?:0[xX])?([0-9A-Fa-f]+)"'), "hex digits in quotes"),
}


def write_back(original: bytes, counters: Mapping[Place, int]) -> bytes:
    """The original with each counter at its place; a text keeps its width, prefix and letter case.

    Refused: a place that is not there or holds something else, a value that is no usable counter, does not
    fit, or is lower than what stands there. The result is decoded again, and differs at the places only.
    Raises WriteBackError, or ReadError for a document that is no JSON.
    """
    before = decode(original)
    wanted = {parse_path(place.path): (place, value) for place, value in counters.items()}
    found = [scalar for scalar in _scalars(original) if scalar.path in wanted]
    for path in wanted.keys() - {scalar.path for scalar in found}:
        raise WriteBackError(f"{wanted[path][0].path}: the document holds no number there")
    result = original
    for scalar in reversed(found):
        token = _advanced(original[scalar.start : scalar.end], *wanted[scalar.path])
        result = result[: scalar.start] + token + result[scalar.end :]
    _prove(before, decode(result), [scalar.path for scalar in found])
    return result


def _scalars(data: bytes) -> list[Scalar]:
    return list(scan(data, most_scalars=MAX_VALUES, most_levels=MAX_DEPTH))


def _advanced(token: bytes, place: Place, value: int) -> bytes:
    form, right = _FORMS[place.writing]
    match = form.fullmatch(token)
    if match is None:
        raise WriteBackError(f"{place.path}: right is {right}, as the place says")
    old = match.group(1)
    is_hex = place.writing is Writing.HEX_TEXT
    standing = int(old, 16 if is_hex else 10)
    if not standing <= value < SPACE_END:
        raise WriteBackError(
            f"{place.path}: {value} cannot be written: right is {standing} to {SPACE_END - 1}"
        )
    digits = f"{value:{'x' if is_hex else 'd'}}".encode()
    if is_hex and old == old.upper():
        digits = digits.upper()
    if len(digits) > len(old) > 1 and old.startswith(b"0"):
        raise WriteBackError(f"{place.path}: {value} does not fit the {len(old)} digits that stand there")
    start, end = match.span(1)
    return token[:start] + digits.rjust(len(old), b"0") + token[end:]


def _prove(before: Any, after: Any, paths: list[Path]) -> None:
    """With the places emptied in both, the written document equals the original."""
    for path in paths:
        _empty(before, path)
        _empty(after, path)
    if before != after:
        raise WriteBackError("the written document does not read like the original: it is not given out")


def _empty(document: Any, path: Path) -> None:
    for step in path[:-1]:
        document = document[step]
    if path:
        document[path[-1]] = None
