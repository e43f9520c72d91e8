"""The original document with its counters advanced, and not one other octet changed.

A radio that takes over must speak with higher numbers than any before it (C1). The number comes from the
ledger; here it is only put in its places, in the notation and the shape of what stands there.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from fleet.mesh.counters import SPACE_END
from fleet.snapshots.decoding import MAX_DEPTH, MAX_VALUES, JsonValue, decode
from fleet.snapshots.guide_facts import Kind
from fleet.snapshots.paths import Path, show_path, value_at
from fleet.snapshots.readings import Reading, ReadingError, reader_for
from fleet.snapshots.scanning import scan
from fleet.snapshots.shapes import is_too_wide
from fleet.snapshots.tokens import number_like, text_like


@dataclass(frozen=True, slots=True)
class Place:
    """Where a counter stands, such as ("security", "outgoingCounter"), and how it is read there."""

    path: Path
    reading: Reading = Reading.NUMBER

    def __str__(self) -> str:
        return show_path(self.path)


class WriteBackError(ValueError):
    """A number that cannot be put at its place; the message names the place and what would be right."""


def counter_at(document: JsonValue, place: Place) -> int:
    """The counter that stands there. Raises WriteBackError."""
    try:
        value = reader_for(Kind.COUNTER, place.reading).read(value_at(document, place.path))
    except LookupError:
        raise WriteBackError(f"{place}: the document holds nothing there") from None
    except ReadingError as error:
        raise WriteBackError(f"{place}: right is {error}") from None
    assert isinstance(value, int)
    return value


def write_back(original: bytes, counters: Mapping[Place, int]) -> bytes:
    """The original with each counter at its place, in whichever notation a counter can be read.

    Width, capitals, prefixes, separators, blanks and JSON type stay. Refused: a place that is not there or holds
    something else, a value that is no usable counter, is lower than what stands there, or needs more digits than
    a place with leading zeros has. The result is decoded again, and differs at the places only.
    Raises WriteBackError, or ReadError for a document that is no JSON.
    """
    before = decode(original)
    wanted: dict[Path, JsonValue] = {}
    for place, value in counters.items():
        wanted |= _scalars(place.path, _written(before, place, value))
    scalars = scan(original, most_scalars=MAX_VALUES, most_levels=MAX_DEPTH)
    result = original
    for scalar in reversed([scalar for scalar in scalars if scalar.path in wanted]):
        token = _token(wanted[scalar.path], original[scalar.start : scalar.end])
        result = result[: scalar.start] + token + result[scalar.end :]
    _prove(before, decode(result), counters, wanted)
    return result


def _written(document: JsonValue, place: Place, value: int) -> JsonValue:
    """The value in the notation of what stands at the place."""
    standing = counter_at(document, place)
    if not standing <= value < SPACE_END:
        raise WriteBackError(f"{place}: {value} cannot be written: right is {standing} to {SPACE_END - 1}")
    like = value_at(document, place.path)
    written = reader_for(Kind.COUNTER, place.reading).write(value, like)
    if isinstance(written, str) and isinstance(like, str) and is_too_wide(written, like):
        raise WriteBackError(
            f"{place}: {value} does not fit the {len(like.strip())} characters that stand there"
        )
    return written


def _scalars(path: Path, value: JsonValue) -> dict[Path, JsonValue]:
    """The value itself, or the items of a list of octets, each with its path."""
    if isinstance(value, list):
        return {(*path, number): item for number, item in enumerate(value)}
    if isinstance(value, dict):
        return {(*path, name): item for name, item in value.items()}
    return {path: value}


def _token(value: JsonValue, like: bytes) -> bytes:
    if isinstance(value, str):
        return text_like(value, like)
    assert isinstance(value, int | float)
    return number_like(int(value), like)


def _prove(
    before: JsonValue, after: JsonValue, counters: Mapping[Place, int], paths: Mapping[Path, JsonValue]
) -> None:
    """Each place reads its counter, and with the places emptied in both the documents are equal."""
    is_read = all(counter_at(after, place) == value for place, value in counters.items())
    if not is_read or _emptied(before, paths) != _emptied(after, paths):
        raise WriteBackError("the written document does not read like the original: it is not given out")


def _emptied(document: JsonValue, paths: Mapping[Path, JsonValue]) -> JsonValue:
    """The document itself, with nothing at the paths."""
    for path in paths:
        if not path:
            return None
        around = value_at(document, path[:-1])
        around[path[-1]] = None
    return document
