"""Which one slip of eye or finger would explain that typed digits do not fit their check.

A check of 16 bits cannot say where an error is. Trying can: a slip after whose repair everything fits is a likely
one, though two errors at once may look like another.
"""

from collections.abc import Callable, Iterator
from enum import Enum

GROUP = 4
"""Digits to a group; groups are counted from 1, from the left."""

DIGITS = "0123456789ABCDEF"
ALIKE = ("8B", "0D", "17", "56", "6B", "38")
"""Hex digits that are taken for each other on small labels. Common practice, no source."""


class Slip(Enum):
    """What may have happened, in words with a place for the groups, likeliest first."""

    ALIKE = "if a single digit is wrong, it is in {}, and looks like the right one, as 8 does like B"
    DIGIT = "if a single digit is wrong, it is in {}"
    SWAPPED = "if two neighbours are swapped, they are in {}"
    MISSING = "if a single digit is missing, it is in {}"
    EXTRA = "if a single digit is too many, it is in {}"


Repair = tuple[Slip, tuple[int, ...], str]
"""A slip, the places at which it happened, and the digits without it."""


def slips_in(digits: str, fits: Callable[[str], bool]) -> dict[Slip, set[int]]:
    """The single slips after whose repair the digits fit, each with the groups in which it may have happened.

    digits: upper-case hex digits that do not fit; fits: whether others do, of whatever length.
    """
    found: dict[Slip, set[int]] = {}
    for slip, places, repaired in _repairs(digits):
        if fits(repaired):
            found.setdefault(slip, set()).update(place // GROUP + 1 for place in places)
    return found


def _repairs(digits: str) -> Iterator[Repair]:
    places = range(len(digits))
    for place in places:
        for other in _look_alikes(digits[place]):
            yield Slip.ALIKE, (place,), digits[:place] + other + digits[place + 1 :]
    for place in places:
        for other in sorted(set(DIGITS) - {digits[place], *_look_alikes(digits[place])}):
            yield Slip.DIGIT, (place,), digits[:place] + other + digits[place + 1 :]
    for place in places[:-1]:
        left, right = digits[place], digits[place + 1]
        if left != right:
            yield Slip.SWAPPED, (place, place + 1), digits[:place] + right + left + digits[place + 2 :]
    for place in range(len(digits) + 1):
        for other in DIGITS:
            yield Slip.MISSING, (place,), digits[:place] + other + digits[place:]
    for place in places:
        yield Slip.EXTRA, (place,), digits[:place] + digits[place + 1 :]


def _look_alikes(digit: str) -> str:
    return "".join(pair.replace(digit, "") for pair in ALIKE if digit in pair)
