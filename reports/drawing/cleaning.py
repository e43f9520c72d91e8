"""What people typed, made fit to print: nothing that steers the page, nothing that cannot be seen."""

import unicodedata
from collections.abc import Callable
from functools import lru_cache

from reports.drawing.bidi import UNSEEN

JOINERS = "\u200c\u200d"
ARABIC_AND_BEYOND = "\u0590"


def clean(text: str, printable: Callable[[str], bool]) -> str:
    """The text with line ends and tabs as spaces, characters that steer direction or hide taken out, and every
    character without a glyph written as "(U+1F600)". `printable` says whether some font has the character."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        _one(char, before, printable) for char, before in _neighbours(unicodedata.normalize("NFC", text))
    )


def _neighbours(text: str) -> list[tuple[str, str]]:
    return [(char, text[at - 1] if at else "") for at, char in enumerate(text)]


def _one(char: str, before: str, printable: Callable[[str], bool]) -> str:
    kind = _kind(char)
    if kind == "joiner":
        return char if before > ARABIC_AND_BEYOND and unicodedata.category(before)[0] in "LM" else ""
    if kind in ("space", "hidden"):
        return " " if kind == "space" else ""
    return char if kind == "mark" or printable(char) else f"(U+{ord(char):04X})"


@lru_cache(maxsize=4096)
def _kind(char: str) -> str:
    """space, hidden, joiner, mark (read by our own setting, not printed) or seen.

    Hidden: direction marks and overrides, zero widths, variation selectors.
    """
    if char in JOINERS:
        return "joiner"
    if char in UNSEEN:
        return "mark"
    if char == "\u00a0":
        return "seen"
    category = unicodedata.category(char)
    if category in ("Cc", "Zs", "Zl", "Zp"):
        return "space"
    selector = 0xFE00 <= ord(char) <= 0xFE0F or 0xE0100 <= ord(char) <= 0xE01EF
    return "hidden" if selector or category == "Cf" else "seen"
