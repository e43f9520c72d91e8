"""Which way round 64-bit addresses stand in a document: as on labels, or as they run over the air.

Addresses of one mesh come from few makers, so that their leading octets repeat and their last ones do not
(EUI-64: the registry gives the leading 24, 28 or 36 bits). The lowest bit of the first octet is never set in a
device's address (IEEE 802: individual address). Addresses made from 48-bit ones have FF FE in the middle.
"""

from collections.abc import Collection
from typing import NamedTuple

_FEW_EXCEPTIONS = 0.05
_CLEAR = 0.15
_USUAL_STARTS = (0x00, 0x02)


class Order(NamedTuple):
    """turned: the octets stand in the other order. strength 0 (no sign at all) to 1; why: in words."""

    turned: bool
    strength: float
    why: str


NO_SIGN = Order(False, 0.0, "nothing tells the order of octets, so they are taken as they stand")


def order_of(numbers: Collection[int]) -> Order:
    """The order of octets of these 64-bit values, which are addresses of devices."""
    stand = [number.to_bytes(8, "big") for number in set(numbers)]
    if not stand:
        return NO_SIGN
    signs = [
        sign
        for sign in (_individual(stand), _makers(stand), _middle(stand), _usual(stand))
        if sign.strength > 0
    ]
    if not signs:
        return NO_SIGN
    total = sum(-sign.strength if sign.turned else sign.strength for sign in signs)
    if abs(total) < _CLEAR:
        return NO_SIGN
    strongest = max((sign for sign in signs if sign.turned == (total < 0)), key=lambda sign: sign.strength)
    return Order(total < 0, min(1.0, abs(total)), strongest.why)


def turn(number: int) -> int:
    """The same eight octets in the other order."""
    return int.from_bytes(number.to_bytes(8, "big"), "little")


def _individual(stand: list[bytes]) -> Order:
    """Groups have the lowest bit of their first octet set, devices never."""
    first = sum(octets[0] & 1 for octets in stand) / len(stand)
    last = sum(octets[7] & 1 for octets in stand) / len(stand)
    why = "only this way round is the first octet that of a device in every address"
    if min(first, last) > _FEW_EXCEPTIONS or first == last:
        return NO_SIGN
    certainty = 1 - 0.5 ** (abs(first - last) * len(stand))
    return Order(first > last, 0.8 * certainty, why)


def _makers(stand: list[bytes]) -> Order:
    """The end that repeats is the maker's."""
    why = "the leading octets repeat from address to address and the last ones do not"
    if len(stand) < 2:
        return NO_SIGN
    leading = sum(len({octets[:count] for octets in stand}) for count in (1, 2, 3))
    last = sum(len({octets[-count:] for octets in stand}) for count in (1, 2, 3))
    difference = (last - leading) / (3 * len(stand))
    if abs(difference) < _CLEAR:
        return NO_SIGN
    return Order(difference < 0, min(1.0, 1.5 * abs(difference)), why)


def _middle(stand: list[bytes]) -> Order:
    """EUI-64 made from EUI-48 (IEEE)."""
    ahead = sum(octets[3:5] == b"\xff\xfe" for octets in stand) / len(stand)
    back = sum(octets[3:5] == b"\xfe\xff" for octets in stand) / len(stand)
    return Order(back > ahead, abs(ahead - back), "the middle octets FF FE stand this way round")


def _usual(stand: list[bytes]) -> Order:
    """Many makers' blocks begin with 00, locally administered addresses with 02 (common practice, no source)."""
    first = sum(octets[0] in _USUAL_STARTS for octets in stand) / len(stand)
    last = sum(octets[7] in _USUAL_STARTS for octets in stand) / len(stand)
    why = "most addresses begin this way round as many do, with 00 or 02"
    return Order(last > first, 0.3 * abs(first - last), why)
