"""Names that could be keys: a document may hold a key as the name of a member, and an expression repeats names."""

import re
from functools import lru_cache

from fleet.snapshots.evidence.sights import KEY, sights
from fleet.snapshots.paths import HIDDEN

_NAMES = re.compile(r""""(?:[^"\\]|\\.)*"|'[^']*'|`[^`]*`|[A-Za-z0-9_]+""")
_LONG_HEX = re.compile(r"(?:0[xX])?(?:[0-9A-Fa-f][:., \-]?){20,}")
_UUID = re.compile(r"[0-9A-Fa-f]{8}(?:-[0-9A-Fa-f]{4}){3}-[0-9A-Fa-f]{12}")
_DIGIT = re.compile(r"[0-9]")


@lru_cache(maxsize=1024)
def names_a_key(expression: str) -> bool:
    """Whether a name or word in this JMESPath expression could be a key or an install code, in hex or base64.

    A long name of letters only could be read as base64 as well; it is taken for a name. So is a UUID (RFC 9562).
    """
    return any(_is_key(name.strip("\"'`")) for name in _NAMES.findall(expression))


def show_expression(expression: str) -> str:
    """The expression as pages and terminals may show it."""
    return f"{HIDDEN}: a name in it could be a key" if names_a_key(expression) else expression


def _is_key(name: str) -> bool:
    if _UUID.fullmatch(name):
        return False
    is_wide = any(sight.width == KEY for sight in sights(name))
    return bool(_LONG_HEX.fullmatch(name) or (is_wide and _DIGIT.search(name)))
