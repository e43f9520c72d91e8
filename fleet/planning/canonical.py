"""JSON in its one canonical form (RFC 8785), so that equal values always have equal octets and one digest.

Members are sorted by the UTF-16 code units of their names (section 3.2.3), numbers are written as ECMAScript writes
them (3.2.2.3), texts with the fewest escapes (3.2.2.2), and there is no space anywhere (3.2.1).
"""

import math
from collections.abc import Iterable, Mapping
from decimal import Decimal
from json.encoder import encode_basestring
from typing import Any

MOST_EXACT = 2**53 - 1
PLAIN_FROM, PLAIN_TO = 1e-6, 1e21


class CanonicalError(ValueError):
    """A value that has no canonical form."""


def canonical(value: Any) -> bytes:
    """The octets of a value made of None, booleans, numbers, texts, lists, tuples and mappings with texts as names.

    Raises CanonicalError for whatever has no such form: other types, numbers that are not finite, whole numbers that a
    binary64 does not hold exactly, lone surrogates.
    """
    try:
        return _written(value).encode()
    except UnicodeEncodeError:
        raise CanonicalError(
            "a text holds half a surrogate pair; canonical JSON has no form for it"
        ) from None


def lines(values: Iterable[Any]) -> bytes:
    """One canonical value a line, each ended by a line feed."""
    return b"".join(canonical(value) + b"\n" for value in values)


def _written(value: Any) -> str:
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, str):
        return encode_basestring(value)  # what json.dumps uses, without an encoder made for each text
    if isinstance(value, int | float):
        return _number(value)
    if isinstance(value, list | tuple):
        return f"[{','.join(_written(part) for part in value)}]"
    if isinstance(value, Mapping):
        names = sorted(value, key=_code_units)
        return "{" + ",".join(f"{_written(name)}:{_written(value[name])}" for name in names) + "}"
    raise CanonicalError(
        f"{type(value).__name__} has no form in canonical JSON; use texts, numbers and lists"
    )


def _code_units(name: Any) -> bytes:
    if not isinstance(name, str):
        raise CanonicalError(f"the name {name!r} of a member is no text")
    return name.encode("utf-16-be", "surrogatepass")


def _number(value: int | float) -> str:
    if isinstance(value, int):
        if abs(value) > MOST_EXACT:
            raise CanonicalError(
                f"{value} is more than a number of canonical JSON holds exactly; write it as a text"
            )
        return str(value)
    if not math.isfinite(value):
        raise CanonicalError(f"{value} is no number of JSON")
    if value == 0:
        return "0"
    sign, digits, exponent = Decimal(repr(value)).normalize().as_tuple()
    assert isinstance(exponent, int)
    text = "".join(map(str, digits))
    return "-" * sign + (
        _plain(text, exponent) if PLAIN_FROM <= abs(value) < PLAIN_TO else _scientific(text, exponent)
    )


def _plain(digits: str, exponent: int) -> str:
    if exponent >= 0:
        return digits + "0" * exponent
    whole = len(digits) + exponent
    return f"{digits[:whole]}.{digits[whole:]}" if whole > 0 else f"0.{'0' * -whole}{digits}"


def _scientific(digits: str, exponent: int) -> str:
    power = exponent + len(digits) - 1
    rest = f".{digits[1:]}" if len(digits) > 1 else ""
    return f"{digits[0]}{rest}e{power:+d}"
