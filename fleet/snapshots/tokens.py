"""JSON texts and numbers written the way another stood there (grammar: RFC 8259)."""

import re
from decimal import Decimal

import orjson

_NUMBER = re.compile(rb"-?\d+(?:\.(?P<decimals>\d+))?(?P<power>[eE](?P<tens>[+-]?\d+))?")
_UNIT = re.compile(r"\\u[0-9A-Fa-f]{4}|\\.|[^\\]")
_MOST_TENS = 20
"""Nobody writes a counter with more; a power beyond it can only be that of a zero."""


def text_like(text: str, like: bytes) -> bytes:
    """The text in quotes; what is escaped in the token like is escaped here in the same way."""
    escaped = {}
    for unit in _UNIT.findall(like[1:-1].decode()):
        letter = orjson.loads(f'"{unit}"') if len(unit) > 1 else unit
        if len(unit) > 1 and not letter.isalnum():
            escaped[letter] = unit
    return f'"{"".join(escaped.get(letter, letter) for letter in text)}"'.encode()


def number_like(number: int, like: bytes) -> bytes:
    """The whole number with a fraction of noughts where the token like has one, and in its power of ten.

    1463120.0 -> 17080656.0, 1.46312e+06 -> 17.080656e+06: no digit is lost.
    """
    form = _NUMBER.fullmatch(like)
    if form is None or (form["decimals"] is None and form["power"] is None):
        return str(number).encode()
    tens = int(form["tens"] or 0)
    if abs(tens) > _MOST_TENS:
        return f"{number}.0".encode()
    whole, _, decimals = format(Decimal(number).scaleb(-tens), "f").partition(".")
    decimals = decimals.rstrip("0").ljust(len(form["decimals"] or b""), "0")
    return f"{whole}.{decimals}".rstrip(".").encode() + (form["power"] or b"")
