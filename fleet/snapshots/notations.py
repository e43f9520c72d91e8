"""Octets in the notations that documents use: hex digits, numbers, lists of octets, base64.

Each notation turns a JSON value into a given number of octets, most significant first, and writes octets the
way another value stood there before. What cannot be read is told by what would be right only, as a value may
be a key.
"""

import base64
import binascii
import re
from collections.abc import Callable
from typing import NamedTuple

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.shapes import GROUPED, PREFIX, amid_blanks, decimal_like, hex_like, in_capitals

_SEPARATORS = re.compile(r"[\s:.,;_\-]+")
_HEX = re.compile(r"[0-9A-Fa-f]+")
_DECIMAL = re.compile(r"-?[0-9]{1,20}")
_BASE64 = re.compile(r"[A-Za-z0-9+/_\-]{2,24}={0,2}")
_LONGEST = 120
_EXACT_FLOAT = 2**53
_ADDRESS_OCTETS = 8
_LEAST_ADDRESS_DIGITS = 10
_NUMBER_OCTETS = 4
"""Up to four octets a value is a number, which may have lost its leading zeros. A key never has."""


class ReadingError(ValueError):
    """A value that is not in the notation; the message says what would be right and nothing else."""


class Notation(NamedTuple):
    """How octets are written: octets(value, width) raises ReadingError, write(octets, like) never does."""

    octets: Callable[[JsonValue, int], bytes]
    write: Callable[[bytes, JsonValue], JsonValue]


def turned(notation: Notation) -> Notation:
    """The same notation with the octets in the other order, as they run over the air."""
    return Notation(
        lambda value, width: notation.octets(value, width)[::-1],
        lambda octets, like: notation.write(octets[::-1], like),
    )


def _from_hex(value: JsonValue, width: int) -> bytes:
    right = f"{2 * width} hex digits"
    if not isinstance(value, str) or len(value) > _LONGEST:
        raise ReadingError(right)
    bare = PREFIX.sub("", value.strip())
    digits = _SEPARATORS.sub("", bare)
    may_be_number = digits == bare and not digits.startswith("0")
    if not _HEX.fullmatch(digits) or not _least_digits(width, may_be_number) <= len(digits) <= 2 * width:
        raise ReadingError(right)
    return bytes.fromhex(digits.zfill(2 * width))


def _least_digits(width: int, may_be_number: bool) -> int:
    """A number printed in hex has lost its leading zeros; a key is never printed so."""
    if width <= _NUMBER_OCTETS:
        return 1
    return _LEAST_ADDRESS_DIGITS if width == _ADDRESS_OCTETS and may_be_number else 2 * width


def _to_hex(octets: bytes, like: JsonValue) -> JsonValue:
    digits = octets.hex()
    shape = like if isinstance(like, str) and _can_read(_from_hex, like, len(octets)) else "0" * len(digits)
    return hex_like(digits, shape, in_capitals(shape))


def _can_read(octets: Callable[[JsonValue, int], bytes], like: JsonValue, width: int) -> bool:
    """Only a value in the notation can be a model for another."""
    try:
        octets(like, width)
    except ReadingError:
        return False
    return True


def _from_number(value: JsonValue, width: int) -> bytes:
    number = whole_number(value)
    if number is not None and number < 0 and width == _ADDRESS_OCTETS and number >= -(2**63):
        number += 2**64
    if number is None or not 0 <= number < 256**width:
        raise ReadingError(f"a whole number from 0 to {256**width - 1}")
    return number.to_bytes(width, "big")


def whole_number(value: JsonValue) -> int | None:
    """15, 15.0, "15" and "1,463,120" are whole numbers; true is none."""
    if isinstance(value, bool):
        return None
    if isinstance(value, float):
        return int(value) if value.is_integer() and abs(value) <= _EXACT_FLOAT else None
    if isinstance(value, str):
        return _whole_text(value.strip()) if len(value) <= _LONGEST else None
    return value if isinstance(value, int) else None


def _whole_text(text: str) -> int | None:
    if _DECIMAL.fullmatch(text):
        return int(text)
    grouped = GROUPED.fullmatch(text)
    return int(text.replace(grouped.group(1), "")) if grouped else None


def _to_number(octets: bytes, like: JsonValue) -> JsonValue:
    number = int.from_bytes(octets, "big")
    if not _can_read(_from_number, like, len(octets)):
        return number
    if isinstance(like, str):
        negative = len(octets) == _ADDRESS_OCTETS and like.strip().startswith("-") and number >= 2**63
        return decimal_like(number - 2**64 if negative else number, like)
    if isinstance(like, float) and number <= _EXACT_FLOAT:
        return float(number)
    signed = isinstance(like, int) and like < 0 and number >= 2**63
    return number - 2**64 if signed else number


def _from_octets(value: JsonValue, width: int) -> bytes:
    right = f"a list of {width} octets, each 0 to 255"
    if isinstance(value, dict):
        # A typed array that was written as an object: {"0": 2, "1": 164, ...}.
        names = [str(place) for place in range(width)]
        value = [value[name] for name in names] if len(value) == width and set(value) == set(names) else []
    if not isinstance(value, list) or len(value) != width:
        raise ReadingError(right)
    octets = [_octet(item) for item in value]
    if None in octets:
        raise ReadingError(right)
    return bytes(octet for octet in octets if octet is not None)


def _octet(item: JsonValue) -> int | None:
    if isinstance(item, str):
        digits = PREFIX.sub("", item.strip())
        return int(digits, 16) if _HEX.fullmatch(digits) and len(digits) <= 2 else None
    if isinstance(item, bool) or not isinstance(item, int | float) or not -128 <= item <= 255:
        return None
    return int(item) % 256 if item == int(item) else None


def _to_octets(octets: bytes, like: JsonValue) -> JsonValue:
    names = [str(place) for place in range(len(octets))]
    model: list[JsonValue] = [0] * len(octets)
    if _can_read(_from_octets, like, len(octets)) and isinstance(like, list | dict):
        model = [like[name] for name in names] if isinstance(like, dict) else like
    items = _items(octets, model)
    return dict(zip(names, items, strict=True)) if isinstance(like, dict) else items


def _items(octets: bytes, like: list[JsonValue]) -> list[JsonValue]:
    """Each octet the way the one at its place is written: as number or hex."""
    capitals = in_capitals("".join(item for item in like if isinstance(item, str)))
    signed = any(isinstance(item, int | float) and item < 0 for item in like)
    items: list[JsonValue] = []
    for octet, item in zip(octets, like, strict=True):
        number = octet - 256 if signed and octet > 127 else octet
        if isinstance(item, str):
            items.append(hex_like(f"{octet:02x}", item, capitals))
        else:
            items.append(float(number) if isinstance(item, float) else number)
    return items


def _from_base64(value: JsonValue, width: int) -> bytes:
    right = f"base64 of {width} octets"
    if not isinstance(value, str) or not _BASE64.fullmatch(value.strip()):
        raise ReadingError(right)
    bare = value.strip().rstrip("=").translate(str.maketrans("-_", "+/"))
    try:
        octets = base64.b64decode(bare + "=" * (-len(bare) % 4), validate=True)
    except (binascii.Error, ValueError):
        octets = b""
    if len(octets) != width:
        raise ReadingError(right)
    return octets


def _to_base64(octets: bytes, like: JsonValue) -> JsonValue:
    text = base64.b64encode(octets).decode()
    if not isinstance(like, str) or not _can_read(_from_base64, like, len(octets)):
        return text
    if "-" in like or "_" in like:
        text = text.translate(str.maketrans("+/", "-_"))
    return amid_blanks(text.rstrip("=") + "=" * like.count("="), like)


HEX = Notation(_from_hex, _to_hex)
NUMBER = Notation(_from_number, _to_number)
OCTETS = Notation(_from_octets, _to_octets)
BASE64 = Notation(_from_base64, _to_base64)
