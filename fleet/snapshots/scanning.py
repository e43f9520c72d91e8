"""A JSON text token by token, without recursion: where each value stands, and what is wrong where.

Slower than the decoder, so it runs only when something must be named or replaced at its place.
Grammar: RFC 8259.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import orjson

from fleet.snapshots.paths import Path

_BLANK = re.compile(rb"[ \t\r\n]*+")
_TEXT = re.compile(rb'"[^"\\\x00-\x1f]*+(?:\\(?:["\\/bfnrt]|u[0-9A-Fa-f]{4})[^"\\\x00-\x1f]*+)*+"')
_NUMBER = re.compile(rb"-?(?:0|[1-9][0-9]*+)(?:\.[0-9]++)?+(?:[eE][+-]?[0-9]++)?+")
_WORD = re.compile(rb"true|false|null")
_LAST_BLANK = 0x20
_NOT_JSON = (b"NaN", b"Infinity", b"-Infinity", b"undefined", b"None", b"True", b"False")
_ENDS = {b"{": b"}", b"[": b"]"}
_STEPS_SHOWN = 3


class Scalar(NamedTuple):
    """A text, number or word of the document and the octets it fills."""

    path: Path
    start: int
    end: int


class ScanError(ValueError):
    """The first thing that is not right, in words that repeat nothing of the document but its paths."""

    def __init__(self, path: Path, start: int, expected: str, found: str = "something else") -> None:
        super().__init__(f"{found}, expected {expected}")
        self.path = path
        self.start = start
        self.expected = expected
        self.found = found


@dataclass(slots=True)
class _Frame:
    """An open object or list; step is the name or the index of the value being read."""

    end: bytes
    step: str | int
    names: set[str] | None


def scan(data: bytes, *, most_scalars: int, most_levels: int) -> Iterator[Scalar]:
    """Yield every scalar in order of appearance. Raises ScanError at the first fault.

    A name that stands twice in one object is a fault too, and so is nesting below most_levels.
    After most_scalars the scan ends silently.
    """
    frames: list[_Frame] = []
    at = _skip(data, 0)
    while True:
        opening = data[at : at + 1]
        if opening in _ENDS:
            at = _open(data, at, frames, most_levels)
            if data[at : at + 1] != frames[-1].end:
                at = _read_name(data, at, frames) if opening == b"{" else at
                continue
        else:
            end = _scalar_end(data, at, frames)
            yield Scalar(_path(frames), at, end)
            most_scalars -= 1
            at = _skip(data, end)
        at = _after_value(data, at, frames)
        if not frames or not most_scalars:
            break
    if not frames and at != len(data):
        raise ScanError((), at, "nothing after the end of the document")


def _open(data: bytes, at: int, frames: list[_Frame], most_levels: int) -> int:
    if len(frames) == most_levels:
        expected = f"at most {most_levels} levels of nesting"
        raise ScanError(_path(frames[:_STEPS_SHOWN]), at, expected, "one level more")
    opening = data[at : at + 1]
    is_object = opening == b"{"
    frames.append(_Frame(_ENDS[opening], "" if is_object else 0, set() if is_object else None))
    return _skip(data, at + 1)


def _after_value(data: bytes, at: int, frames: list[_Frame]) -> int:
    """Past closing brackets and at most one comma, to where the next value begins."""
    while frames:
        frame = frames[-1]
        found = data[at : at + 1]
        if found == frame.end:
            frames.pop()
            at = _skip(data, at + 1)
        elif found != b",":
            raise ScanError(_path(frames), at, f'a comma or "{frame.end.decode()}" after the value')
        else:
            at = _skip(data, at + 1)
            if isinstance(frame.step, str):
                return _read_name(data, at, frames)
            frame.step += 1
            return at
    return at


def _read_name(data: bytes, at: int, frames: list[_Frame]) -> int:
    frame = frames[-1]
    match = _TEXT.match(data, at)
    if match is None:
        raise ScanError(_path(frames[:-1]), at, "a name in double quotes")
    frame.step = name = _decoded(match.group(), at, frames)
    if frame.names is not None:
        if name in frame.names:
            raise ScanError(_path(frames), at, "each name once in an object", "a name for the second time")
        frame.names.add(name)
    at = _skip(data, match.end())
    if data[at : at + 1] != b":":
        raise ScanError(_path(frames), at, "a colon after the name")
    return _skip(data, at + 1)


def _scalar_end(data: bytes, at: int, frames: list[_Frame]) -> int:
    match = _TEXT.match(data, at) or _NUMBER.match(data, at) or _WORD.match(data, at)
    if match is not None:
        return match.end()
    for word in _NOT_JSON:
        if data.startswith(word, at):
            raise ScanError(_path(frames), at, "a number or null", word.decode())
    raise ScanError(_path(frames), at, "a JSON value", "something else" if at < len(data) else "the end")


def _decoded(name: bytes, at: int, frames: list[_Frame]) -> str:
    try:
        if b"\\" not in name:
            return name[1:-1].decode()
        decoded: str = orjson.loads(name)
    except (UnicodeDecodeError, orjson.JSONDecodeError):
        pass
    else:
        return decoded
    raise ScanError(_path(frames[:-1]), at, "a name in valid UTF-8")


def _path(frames: list[_Frame]) -> Path:
    return tuple(frame.step for frame in frames)


def _skip(data: bytes, at: int) -> int:
    if at >= len(data) or data[at] > _LAST_BLANK:
        return at
    match = _BLANK.match(data, at)
    return match.end() if match else at
