"""Keys that nobody drew at random. Nothing here repeats an octet of a key."""

from collections.abc import Callable
from itertools import pairwise

PUBLIC_LINK_KEY = bytes.fromhex("5A6967426565416C6C69616E63653039")
"""The public default link key (Zigbee specification): known to everybody, never a network key."""

_LEAST_EQUAL_STEPS = 12
_MOST_KINDS_OF_STEP = 4
_LEAST_DISTINCT = 5


def unset_pattern(key: bytes) -> str | None:
    """What shows that the octets are a placeholder and no key at all, or None."""
    if not any(key):
        return "all octets are zero"
    if key == b"\xff" * len(key):
        return "all octets are 0xFF"
    if len(set(key)) == 1:
        return "one octet, repeated"
    return None


def is_public(key: bytes) -> bool:
    """True for the public default link key, in either octet order."""
    return key in (PUBLIC_LINK_KEY, PUBLIC_LINK_KEY[::-1])


def weak_pattern(key: bytes) -> str | None:
    """What shows that a key was made up, or None.

    Each pattern is so rare among random keys (below 1 in 10^9) that a match means something.
    Common practice, no source.
    """
    return next((name for name, matches in _PATTERNS if matches(key)), None)


def _counts(key: bytes) -> bool:
    """Up, down or in even steps, with a few slips: most differences of neighbours are the same."""
    steps = [(after - before) & 0xFF for before, after in pairwise(key)]
    kinds = set(steps)
    return len(kinds) <= _MOST_KINDS_OF_STEP and max(map(steps.count, kinds)) >= _LEAST_EQUAL_STEPS


def _repeats(key: bytes) -> bool:
    return key[:8] == key[8:]


def _mirrored(key: bytes) -> bool:
    return key[:8] == key[:7:-1]


def _few_octets(key: bytes) -> bool:
    return len(set(key)) < _LEAST_DISTINCT


def _typed(key: bytes) -> bool:
    return key.isalnum()


_PATTERNS: tuple[tuple[str, Callable[[bytes], bool]], ...] = (
    ("octets that count up or down", _counts),
    ("two equal halves", _repeats),
    ("two mirrored halves", _mirrored),
    ("few different octets", _few_octets),
    ("letters and digits that somebody typed", _typed),
)
