"""Octets to a JSON value, safe against hostile documents.

Never a traceback other than ReadError, never recursion in Python, never much more memory than the document.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

import orjson

from fleet.snapshots.paths import Path, show_path
from fleet.snapshots.scanning import ScanError, scan

JsonValue: TypeAlias = "dict[str, JsonValue] | list[JsonValue] | str | int | float | bool | None"

# The most octets of any document. A hostile one of this size may take 160 MB for a second; a book may take less.
MAX_BYTES = 8 * 1024 * 1024
MAX_DEPTH = 40
# A value costs far more memory than its octets; this bound holds the worst document below 100 MB.
MAX_VALUES = 200_000

_LEAST_INTEGER = -(2**63)
_MOST_INTEGER = 2**64 - 1
_INDENT = orjson.OPT_INDENT_2
_MARKS = (
    (b"\xef\xbb\xbf", "UTF-8 with a byte order mark"),
    (b"\xff\xfe", "UTF-16 or UTF-32"),
    (b"\xfe\xff", "UTF-16"),
    (b"\x1f\x8b", "compressed (gzip)"),
    (b"PK\x03\x04", "an archive (zip)"),
    (b"\x28\xb5\x2f\xfd", "compressed (zstd)"),
)


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a document. value is what stands there, fit to be shown, or empty."""

    path: str
    value: str
    expected: str

    def __str__(self) -> str:
        found = f"{self.value} found, " if self.value else ""
        return f"{self.path}: {found}expected {self.expected}"


class ReadError(ValueError):
    """A document that cannot be read; problems names each field. Holds no secret and no document."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(str(problem) for problem in self.problems))


def decode(data: bytes, *, max_bytes: int = MAX_BYTES, max_depth: int = MAX_DEPTH) -> JsonValue:
    """A JSON document in UTF-8 (RFC 8259) -> its value. max_depth counts levels of nesting, 1 to 200.

    Refused, each with its place: more than max_bytes or MAX_VALUES, another encoding, text that is not
    JSON, NaN and Infinity, a name twice in one object, integers outside -2^63 to 2^64 - 1, deep nesting.
    Raises ReadError.
    """
    problem = _refused_unread(data, max_bytes)
    if problem is None:
        value, problem = _parsed(data, max_depth)
        if problem is None:
            problem = _refused_read(data, value, max_depth)
        if problem is None:
            return value
    raise ReadError([problem])


def _refused_unread(data: bytes, max_bytes: int) -> Problem | None:
    if len(data) > max_bytes:
        return Problem("$", f"{len(data)} octets", f"at most {max_bytes} octets")
    if not data or data.isspace():
        return Problem("$", "an empty document", "a JSON document")
    for mark, name in _MARKS:
        if data.startswith(mark):
            return Problem("$", name, "plain JSON in UTF-8 without a mark")
    if b"\x00" in data[:4]:
        return Problem("$", "UTF-16, UTF-32 or binary data", "plain JSON in UTF-8")
    # A value takes at least one octet, so a short document need not be counted.
    if len(data) > MAX_VALUES and sum(map(data.count, (b",", b"{", b"["))) > MAX_VALUES:
        return Problem("$", "too many values", f"at most {MAX_VALUES} values")
    return None


def _parsed(data: bytes, max_depth: int) -> tuple[JsonValue, Problem | None]:
    # The decoder's error carries the whole document, so it must not become the context of ours.
    try:
        value: JsonValue = orjson.loads(data)
    except orjson.JSONDecodeError as error:
        reason, start = error.msg, len(error.doc[: error.pos].encode())
    else:
        return value, None
    try:
        data.decode()
    except UnicodeDecodeError as error:
        reason, start = "an octet that is not UTF-8", error.start
    fault = _first_fault(data, max_depth)
    if fault is None:
        fault = _fault_at(_path_at(data, start, max_depth), reason + _place(data, start), "JSON in UTF-8")
    return None, fault


def _refused_read(data: bytes, value: JsonValue, max_depth: int) -> Problem | None:
    """Find what the decoder lets through, by comparing the document with its value written again.

    Written with two blanks a level, nesting shows as a line's indent. A dropped double shows as fewer
    colons. An integer of more than 64 bits has become a float of 1e18 or more, which is written with "e+".
    The signs can mislead (text holding "e+"), never hide a case; the exact scan then decides.
    """
    try:
        written = orjson.dumps(value, option=_INDENT)
    except orjson.JSONEncodeError:
        written = b""  # deeper than the encoder goes, which is more than any max_depth
    # A lone octet is found many times faster than a pair, so it is looked for first.
    suspect = (
        data.count(b":") != written.count(b":")
        or (b"\\" in data and b"\\u003" in data)
        or (b"+" in written and b"e+" in written)
        or b"\n" + b"  " * (max_depth + 1) in written
    )
    return _first_fault(data, max_depth) if suspect else None


def _first_fault(data: bytes, max_depth: int) -> Problem | None:
    try:
        for scalar in scan(data, most_scalars=MAX_VALUES, most_levels=max_depth):
            if data[scalar.start] in b"-0123456789" and _too_large(data[scalar.start : scalar.end]):
                return _fault_at(
                    scalar.path, "an integer of more than 64 bits", "an integer of at most 64 bits"
                )
    except ScanError as fault:
        return _fault_at(fault.path, fault.found + _place(data, fault.start), fault.expected)
    return None


def _path_at(data: bytes, start: int, max_depth: int) -> Path:
    scalars = scan(data, most_scalars=MAX_VALUES, most_levels=max_depth)
    return next((scalar.path for scalar in scalars if scalar.end > start), ())


def _fault_at(path: Path, value: str, expected: str) -> Problem:
    return Problem(show_path(path), value, expected)


def _place(data: bytes, start: int) -> str:
    row = data.count(b"\n", 0, start) + 1
    column = start - data.rfind(b"\n", 0, start)
    return f" at line {row}, column {column}"


def _too_large(number: bytes) -> bool:
    if b"." in number or b"e" in number or b"E" in number:
        return False
    return len(number) > 20 or not _LEAST_INTEGER <= int(number) <= _MOST_INTEGER
