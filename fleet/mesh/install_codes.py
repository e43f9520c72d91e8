"""Install codes: check what somebody typed and derive the link key that the device holds.

An install code is a secret, and so is the key derived from it. No message here repeats a digit of one.
Source: Zigbee Base Device Behavior, install codes; Zigbee specification, annex B.6 (hash).
"""

import re

from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes

CODE_OCTETS = (6, 8, 12, 16)
"""Lengths of a code without its check; Zigbee 3 devices carry 16."""

_GROUP = 4
_DIGIT_COUNTS = {2 * (octets + 2) for octets in CODE_OCTETS}
_SEPARATORS = re.compile(r"[\s:.\-]+")
_HEX = frozenset("0123456789abcdefABCDEF")
_BLOCK = 16


class InstallCodeError(ValueError):
    """An install code that cannot be right; the message names lengths and groups, never a digit."""


def parse_install_code(text: str) -> bytes:
    """An install code as printed, with its four check digits -> its 6, 8, 12 or 16 octets without them.

    Upper or lower case; ':', '-', '.', spaces may part it anywhere. Groups in messages are of four digits,
    counted from the left. Raises InstallCodeError.
    """
    digits = _digits_of(text)
    if len(digits) not in _DIGIT_COUNTS:
        raise InstallCodeError(f"install code: {len(digits)} digits{_length_hint(text, digits)}")
    octets = bytes.fromhex(digits)
    if not _fits(octets):
        raise InstallCodeError(f"install code: the check digits do not fit the code; {_suspect(octets)}")
    return octets[:-2]


def check_octets(code: bytes) -> bytes:
    """The two check octets as printed after the code: CRC-16/X-25, low octet first."""
    return crc16_x25(code).to_bytes(2, "little")


def link_key_of(code: bytes) -> bytes:
    """The 16-octet link key of a code without its check: the AES-MMO hash of code and check octets."""
    if len(code) not in CODE_OCTETS:
        raise InstallCodeError(
            f"install code: {len(code)} octets; right are 6, 8, 12 or 16 without the check"
        )
    return aes_mmo(code + check_octets(code))


def crc16_x25(data: bytes) -> int:
    """CRC-16/X-25, also CRC-16/IBM-SDLC: polynomial 0x1021 reflected, start and final XOR 0xFFFF."""
    register = 0xFFFF
    for octet in data:
        register = register >> 8 ^ _REMAINDERS[(register ^ octet) & 0xFF]
    return register ^ 0xFFFF


def _remainder_of(octet: int) -> int:
    for _ in range(8):
        octet = octet >> 1 ^ (0x8408 if octet & 1 else 0)
    return octet


_REMAINDERS = tuple(_remainder_of(octet) for octet in range(256))


def aes_mmo(data: bytes) -> bytes:
    """Matyas-Meyer-Oseas hash on AES-128, 16 octets (Zigbee specification, annex B.6)."""
    digest = bytes(_BLOCK)
    padded = data + _padding(len(data))
    for start in range(0, len(padded), _BLOCK):
        block = padded[start : start + _BLOCK]
        encryptor = Cipher(algorithms.AES(digest), modes.ECB()).encryptor()  # one block, keyed by the last
        digest = bytes(a ^ b for a, b in zip(encryptor.update(block), block, strict=True))
    return digest


def _padding(octets: int) -> bytes:
    """One bit, zeros, then the length in bits: 16 bits wide below 2^16, else 32 bits and two zero octets."""
    bits = 8 * octets
    if bits >= 1 << 32:
        raise ValueError(f"AES-MMO: {octets} octets; right are fewer than 536870912")
    tail = bits.to_bytes(2, "big") if bits < 1 << 16 else bits.to_bytes(4, "big") + bytes(2)
    return b"\x80" + bytes((-octets - 1 - len(tail)) % _BLOCK) + tail


def _digits_of(text: str) -> str:
    digits = _SEPARATORS.sub("", text)
    strange = {index // _GROUP + 1 for index, letter in enumerate(digits) if letter not in _HEX}
    if strange:
        raise InstallCodeError(
            f"install code: {_groups(strange)} holds a character other than the hex digits 0-9 and A-F"
        )
    return digits


def _length_hint(text: str, digits: str) -> str:
    right = "; right are 16, 20, 28 or 36 with the four check digits at the end"
    if len(digits) + _GROUP in _DIGIT_COUNTS:
        right += "; perhaps the check digits are missing"
    groups = [group for group in _SEPARATORS.split(text) if group]
    odd = {place for place, group in enumerate(groups, 1) if len(group) != _GROUP}
    if len(groups) > 1 and len(odd) == 1:
        place = min(odd)
        right += f"; group {place} has {len(groups[place - 1])} digits, the others have {_GROUP}"
    return right


def _suspect(octets: bytes) -> str:
    """Name the group where one wrong digit would explain the mismatch.

    All 540 single-digit changes of the longest form leave different remainders, so there is at most one.
    """
    for place in range(2 * len(octets)):
        for change in range(1, 16):
            tried = bytearray(octets)
            tried[place // 2] ^= change << (0 if place % 2 else 4)
            if _fits(bytes(tried)):
                return f"if a single digit is wrong, it is in group {place // _GROUP + 1} (groups of four)"
    return "more than one digit is wrong or two are swapped: read all groups again"


def _fits(octets: bytes) -> bool:
    return check_octets(octets[:-2]) == octets[-2:]


def _groups(places: set[int]) -> str:
    return ("group " if len(places) == 1 else "groups ") + ", ".join(str(place) for place in sorted(places))
