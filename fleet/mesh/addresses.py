"""Addresses of an IEEE 802.15.4 / Zigbee network: reading them in any notation, writing them in one.

A 64-bit address or extended PAN ID is kept as sixteen upper-case hex digits, most significant octet first
(over the air the octets run the other way). Short addresses and PAN IDs are kept as integers.
"""

import re

HEAD_SHORT = 0x0000
LAST_NODE_SHORT = 0xFFF7
NO_PAN_ID = 0xFFFF

_ALL_ZERO = "0" * 16
_ALL_ONES = "F" * 16
_SEPARATORS = re.compile(r"[\s:.\-]")
_PREFIX = re.compile(r"\A\s*0[xX]")
_SHORT = re.compile(r"0[xX][0-9A-Fa-f]{1,4}|[0-9A-Fa-f]{4}")
_EMBEDDED = re.compile(
    r"(?<![0-9A-Za-z])(?:0[xX])?((?:[0-9A-Fa-f]{2}[\s:.\-]?){7}[0-9A-Fa-f]{2})(?![0-9A-Za-z])"
)


class AddressError(ValueError):
    """An address that cannot be read or cannot exist; the message says what would be right."""


def parse_eui64(text: str) -> str:
    """An extended address in any notation -> its sixteen digits ("02A4C138F00D0011").

    Upper or lower case, with or without 0x, octets or groups parted by ':', '-', '.' or spaces.
    All-zero and all-ones are not addresses (IEEE 802.15.4; EUI-64). Raises AddressError.
    """
    digits = _sixteen_digits("extended address", text)
    if digits in (_ALL_ZERO, _ALL_ONES):
        raise AddressError(
            f"extended address {digits}: all {digits[0]}s is not a device; "
            "right is the 64-bit address on the radio's label"
        )
    return digits


def parse_eui64_int(value: int) -> str:
    """An extended address given as a number -> its sixteen digits. Raises AddressError."""
    if isinstance(value, bool) or not 0 < value < 0xFFFF_FFFF_FFFF_FFFF:
        raise AddressError(
            f"extended address {_number(value)}: right is a number above 0 and below 18446744073709551615"
        )
    return f"{value:016X}"


def show_eui64(address: str) -> str:
    """Sixteen digits in groups of four, for reading aloud: "02A4 C138 F00D 0011"."""
    return " ".join(address[start : start + 4] for start in range(0, 16, 4))


def reversed_eui64(address: str) -> str:
    """The same octets in the other order, as they run over the air."""
    return bytes.fromhex(address)[::-1].hex().upper()


def is_locally_administered(address: str) -> bool:
    """True where the maker's registry does not stand behind the address (IEEE 802, U/L bit, 0x02)."""
    return bool(int(address[:2], 16) & 0x02)


def find_eui64(text: str) -> str | None:
    """The first extended address inside what somebody typed, in any notation, or None. Never raises."""
    for candidate in (text, *_EMBEDDED.findall(text)):
        try:
            return parse_eui64(candidate)
        except AddressError:
            continue
    return None


def parse_short(value: str | int) -> int:
    """A 16-bit network address, as a number or as hex text ("0x1A2B", "1A2B") -> integer.

    The whole range 0x0000-0xFFFF is read, so that a document's impossible node can still be named in a
    finding: ask is_node_short whether a device may carry it. Raises AddressError.
    """
    return _sixteen_bits("short address", value)


def show_short(short: int) -> str:
    """Written as "0x1A2B"."""
    return f"0x{short:04X}"


def is_node_short(short: int) -> bool:
    """True for 0x0000 (head) and 0x0001-0xFFF7; above stand broadcasts and "none" (Zigbee, NWK)."""
    return HEAD_SHORT <= short <= LAST_NODE_SHORT


def parse_pan_id(value: str | int) -> int:
    """A PAN ID, as a number or as hex text -> integer 0x0000-0xFFFE. 0xFFFF means none (IEEE 802.15.4).

    Raises AddressError.
    """
    pan_id = _sixteen_bits("PAN ID", value)
    if pan_id == NO_PAN_ID:
        raise AddressError("PAN ID 0xFFFF means that there is none: right is 0x0000 to 0xFFFE")
    return pan_id


def show_pan_id(pan_id: int) -> str:
    """Written as "0x1A2B"."""
    return show_short(pan_id)


def parse_extended_pan_id(text: str) -> str:
    """An extended PAN ID in any notation -> its sixteen digits.

    All-zero means that it was never set, all-ones is invalid (Zigbee, NWK). Raises AddressError.
    """
    digits = _sixteen_digits("extended PAN ID", text)
    if digits == _ALL_ZERO:
        raise AddressError("extended PAN ID 0000000000000000 means unset: right is the mesh's own 64-bit ID")
    if digits == _ALL_ONES:
        raise AddressError("extended PAN ID FFFFFFFFFFFFFFFF is invalid: right is the mesh's own 64-bit ID")
    return digits


def show_extended_pan_id(extended_pan_id: str) -> str:
    """Sixteen digits in groups of four."""
    return show_eui64(extended_pan_id)


def _sixteen_digits(field: str, text: str) -> str:
    digits = _SEPARATORS.sub("", _PREFIX.sub("", text))
    if not re.fullmatch(r"[0-9A-Fa-f]*", digits):
        raise AddressError(f"{field} {_short_quote(text)}: right are hex digits, 0-9 and A-F, 16 of them")
    if len(digits) != 16:
        raise AddressError(f"{field} {_short_quote(text)}: {len(digits)} hex digits, right are exactly 16")
    return digits.upper()


def _sixteen_bits(field: str, value: str | int) -> int:
    if isinstance(value, str):
        if not _SHORT.fullmatch(value.strip()):
            raise AddressError(
                f'{field} {_short_quote(value)}: right are four hex digits, like "0x1A2B" or "1A2B"'
            )
        return int(value.strip(), 16)
    if isinstance(value, bool) or not 0 <= value <= 0xFFFF:
        raise AddressError(f"{field} {_number(value)}: right is a number from 0 to 65535")
    return value


def _short_quote(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:40] + "...")


def _number(value: int) -> str:
    """Very long numbers are not spelled out: Python itself refuses to, past some thousand digits."""
    return str(value) if value.bit_length() <= 128 else f"of {value.bit_length()} bits"
