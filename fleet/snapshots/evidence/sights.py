"""What a single foreign value could be, judged by nothing but its form: a number or octets of which width."""

import base64
import binascii
import re
from collections.abc import Callable
from typing import NamedTuple

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.notations import whole_number
from fleet.snapshots.readings import Reading

SHORT, COUNTER, ADDRESS, KEY = 2, 4, 8, 16
"""Widths in octets."""

_WIDTHS = (SHORT, COUNTER, ADDRESS, KEY)
_LONGEST = 64
_LEAST_ADDRESS = 2**44
"""A smaller number would be an address that begins with 20 zeros; milliseconds since 1970 are smaller."""

_RUN = re.compile(r"(0[xX])?([0-9A-Fa-f]{1,32})")
_PARTED = re.compile(
    r"(?:0[xX])?([0-9A-Fa-f]{2}(?:[:.,\- ]+(?:0[xX])?[0-9A-Fa-f]{2})+|[0-9A-Fa-f]{4}(?:[:.\- ][0-9A-Fa-f]{4})+)"
)
_NOT_DIGIT = re.compile(r"0[xX]|[^0-9A-Fa-f]")
_BASE64 = re.compile(r"[A-Za-z0-9+/_\-]{11}=|[A-Za-z0-9+/_\-]{22}(?:==)?")
_OCTET_TEXT = re.compile(r"(?:0[xX])?[0-9A-Fa-f]{1,2}")
_CHANNELS = range(11, 27)


class Sight(NamedTuple):
    """One meaning: its width in octets, its notation, and the number that the octets make as they stand."""

    width: int
    reading: Reading
    number: int

    def __repr__(self) -> str:
        """Without the number, which may be a key."""
        return f"Sight({self.width}, {self.reading})"


def sights(value: JsonValue) -> list[Sight]:
    """Every meaning that the form allows; none for words, decimals, truths and the like."""
    if isinstance(value, str):
        text = value.strip()
        return _of_text(text) if 0 < len(text) <= _LONGEST else []
    if isinstance(value, int | float):
        number = whole_number(value)
        return _of_number(number) if number is not None else []
    return _of_octets(value) if isinstance(value, list | dict) else []


def is_octets(value: JsonValue) -> bool:
    """True for a list of 2, 4, 8 or 16 octets, or a typed array that was written as an object."""
    if isinstance(value, list):
        return len(value) in _WIDTHS and all(map(_is_octet, value)) and len(set(map(type, value))) == 1
    if isinstance(value, dict):
        return len(value) in _WIDTHS and all(_is_octet(value.get(str(place))) for place in range(len(value)))
    return False


def is_channels(value: JsonValue) -> bool:
    """True for a list of different channels of the 2.4 GHz band."""
    if not isinstance(value, list) or not 0 < len(value) <= len(_CHANNELS):
        return False
    numbers = [whole_number(item) for item in value if not isinstance(item, list | dict)]
    return len(set(numbers)) == len(value) and all(number in _CHANNELS for number in numbers)


def _is_octet(item: JsonValue) -> bool:
    if isinstance(item, str):
        return _OCTET_TEXT.fullmatch(item) is not None
    return isinstance(item, int) and not isinstance(item, bool) and -128 <= item <= 255


def _of_number(number: int) -> list[Sight]:
    if number < 0:
        return (
            [Sight(ADDRESS, Reading.NUMBER, number + 2**64)] if -(2**63) <= number <= -_LEAST_ADDRESS else []
        )
    if number >= 2**32:
        return [Sight(ADDRESS, Reading.NUMBER, number)] if _LEAST_ADDRESS <= number < 2**64 else []
    wide = Sight(COUNTER, Reading.NUMBER, number)
    return [Sight(SHORT, Reading.NUMBER, number), wide] if number < 2**16 else [wide]


def _of_octets(value: list[JsonValue] | dict[str, JsonValue]) -> list[Sight]:
    if not is_octets(value) or (len(value) >= COUNTER and is_channels(value)):
        return []
    items = value if isinstance(value, list) else [value[str(place)] for place in range(len(value))]
    octets = bytes(int(item, 16) if isinstance(item, str) else int(str(item)) % 256 for item in items)
    return [Sight(len(octets), Reading.OCTETS, int.from_bytes(octets, "big"))]


def _of_text(text: str) -> list[Sight]:
    if text.isdecimal() and text.isascii():
        return [*_of_number(int(text)), *_of_digits(text)] if len(text) <= 20 else _of_digits(text)
    run = _RUN.fullmatch(text)
    if run is not None:
        return _of_run(run.group(2), run.group(1) is not None)
    if _PARTED.fullmatch(text):
        digits = _NOT_DIGIT.sub("", text)
        width = len(digits) // 2
        return [Sight(width, Reading.HEX, int(digits, 16))] if width in _WIDTHS else []
    number = whole_number(text)
    return _of_number(number) if number is not None else _of_base64(text)


def _of_digits(text: str) -> list[Sight]:
    """Decimal digits that could be hex: as a number of at most 32 bits, else only where they fill a width."""
    if len(text) <= 8:
        return _of_run(text, False)
    width = len(text) // 2
    return [Sight(width, Reading.HEX, int(text, 16))] if width in (ADDRESS, KEY) and not len(text) % 2 else []


def _of_run(digits: str, has_prefix: bool) -> list[Sight]:
    count, number = len(digits), int(digits, 16)
    found = []
    if count <= 4:
        found.append(SHORT)
    if count <= 8:
        found.append(COUNTER)
    if count == 16 or (digits[0] != "0" and (12 < count < 16 or (has_prefix and 10 < count < 16))):
        found.append(ADDRESS)
    if count == 32:
        found = [KEY]
    elif count > 16:
        found = []
    both = _of_base64(digits) if not has_prefix else []
    return [*(Sight(width, Reading.HEX, number) for width in found), *both]


def _of_base64(text: str) -> list[Sight]:
    if not _BASE64.fullmatch(text) or not (text.endswith("=") or _looks_drawn(text)):
        return []
    bare = text.rstrip("=").translate(str.maketrans("-_", "+/"))
    try:
        octets = base64.b64decode(bare + "=" * (-len(bare) % 4), validate=True)
    except (binascii.Error, ValueError):
        return []
    return (
        [Sight(len(octets), Reading.BASE64, int.from_bytes(octets, "big"))] if len(octets) in _WIDTHS else []
    )


def _looks_drawn(text: str) -> bool:
    """Without its padding, base64 is told from a word by having capitals, small letters and digits."""
    tests: tuple[Callable[[str], bool], ...] = (str.isupper, str.islower, str.isdigit)
    return all(any(map(test, text)) for test in tests)
