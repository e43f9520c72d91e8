"""Install codes: check what somebody typed and derive the link key that the device holds.

An install code is a secret, and so is the key derived from it. No message here repeats a digit of one.
Source: Zigbee Base Device Behavior, install codes; Zigbee specification, annex B.6 (hash).
"""

import re
import unicodedata
from collections import Counter

from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes

from fleet.mesh.slips import GROUP, slips_in

CODE_OCTETS = (6, 8, 12, 16)
"""Lengths of a code without its check; Zigbee 3 devices carry 16."""

_DIGIT_COUNTS = frozenset(2 * (octets + 2) for octets in CODE_OCTETS)
_SEPARATORS = re.compile(r"(?<![^\W_])0[xX](?=[0-9A-Fa-f]{2})|[\W_]+")
_AS_DIGITS = str.maketrans("OoIiLlSs", "00111155")
_HEX = frozenset("0123456789ABCDEF")
_BLOCK = 16


class InstallCodeError(ValueError):
    """An install code that cannot be right. The sentence names lengths and groups, never a digit of the code."""


def parse_install_code(text: str) -> bytes:
    """An install code as printed, with its four check digits -> its 6, 8, 12 or 16 octets without them.

    Upper or lower case; anything that is no letter or digit may part it anywhere, and "0x" may stand before a part.
    The letters O, I, L and S, which no code holds, are read as 0, 1, 1 and 5: the check tells whether that was right.
    Groups in messages are of four digits, counted from the left. Raises InstallCodeError.
    """
    typed = unicodedata.normalize("NFKC", text)
    digits = _digits_of(typed)
    if len(digits) not in _DIGIT_COUNTS:
        raise InstallCodeError(f"{_counted(len(digits))}{_length_hint(typed, digits)}.")
    if not _fits(digits):
        suspects = _suspects(digits) or "more than one digit is wrong: read all groups again"
        raise InstallCodeError(f"The check digits do not fit the code; {suspects}.")
    return bytes.fromhex(digits)[:-2]


def in_fours(typed: str) -> str:
    """What somebody typed, right or wrong, in the groups that messages count."""
    letters = _SEPARATORS.sub("", unicodedata.normalize("NFKC", typed)).upper()
    return " ".join(letters[start : start + GROUP] for start in range(0, len(letters), GROUP))


def show_install_code(code: bytes) -> str:
    """A code without its check as it is printed on a label, check digits included, in groups of four."""
    return show_key(code + check_octets(code))


def show_key(key: bytes) -> str:
    """Octets in upper-case digits, in groups of four."""
    return key.hex(" ", 2).upper()


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


def _digits_of(typed: str) -> str:
    digits = _SEPARATORS.sub("", typed).translate(_AS_DIGITS).upper()
    strange = {index // GROUP + 1 for index, letter in enumerate(digits) if letter not in _HEX}
    if strange:
        groups = _groups(strange, len(digits))
        raise InstallCodeError(f"A character other than the hex digits 0-9 and A-F stands in {groups}.")
    return digits


def _length_hint(typed: str, digits: str) -> str:
    right = "; right are 16, 20, 28 or 36 with the four check digits at the end"
    if len(digits) + GROUP in _DIGIT_COUNTS:
        return right + "; perhaps the check digits are missing"
    parts = [part for part in _SEPARATORS.split(typed) if part]
    usual = Counter(map(len, parts)).most_common(1)[0][0] if parts else 0
    odd = [place for place, part in enumerate(parts, 1) if len(part) != usual]
    if len(parts) > 2 and len(odd) == 1:
        return right + f"; part {odd[0]} has {_counted(len(parts[odd[0] - 1]))}, the others have {usual}"
    suspects = _suspects(digits)
    return f"{right}; {suspects}" if suspects else right


def _suspects(digits: str) -> str:
    """The slips that would explain why the digits do not fit, in words; empty where none would alone.

    All 540 changes of one digit in the longest form leave different remainders, so at most one of them makes it fit.
    """
    near = {len(digits) - 1, len(digits), len(digits) + 1} & _DIGIT_COUNTS
    found = slips_in(digits, lambda tried: len(tried) in near and _fits(tried)) if near else {}
    return "; ".join(slip.value.format(_groups(groups, len(digits))) for slip, groups in found.items())


def _fits(digits: str) -> bool:
    octets = bytes.fromhex(digits)
    return check_octets(octets[:-2]) == octets[-2:]


def _counted(digits: int) -> str:
    return f"{digits} digit{'' if digits == 1 else 's'}"


def _groups(places: set[int], digits: int) -> str:
    """ "group 3 of 9 (groups of four)"."""
    listed = ", ".join(str(place) for place in sorted(places))
    return f"group{'' if len(places) == 1 else 's'} {listed} of {-(-digits // GROUP)} (groups of four)"
