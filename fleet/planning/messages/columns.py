"""Plain text as wide as what people see: letters of one, two or no cells, folded between words."""

import unicodedata
from collections.abc import Iterator

NEVER_FIRST = frozenset("、。，．：；！？）」』】ー")
OPENING, STANDING_ALONE = "«", frozenset("»:;?!")
NO_CELL = frozenset({"Mn", "Me", "Cf"})


def width(text: str) -> int:
    """How many cells of a fixed grid a text takes: wide East Asian letters two, marks and controls none."""
    return sum(
        0
        if unicodedata.category(letter) in NO_CELL
        else 2
        if unicodedata.east_asian_width(letter) in "WF"
        else 1
        for letter in text
    )


def fold(text: str, columns: int, indent: str = "", hang: str = "") -> list[str]:
    """Lines of at most so many cells, the first after `indent`, the rest after `hang`.

    Lines break at blanks and between wide letters. A longer word stands on a line of its own, unbroken.
    """
    lines, line, fresh = [], indent, True
    for piece, gap in _pieces(text):
        if not fresh and width(line) + len(gap) + width(piece) > columns:
            lines.append(line)
            line, fresh = hang, True
        line += piece if fresh else gap + piece
        fresh = False
    return [*lines, line]


def _pieces(text: str) -> Iterator[tuple[str, str]]:
    """What must not be broken, each with the blank before it."""
    for word in _words(text):
        gap, piece = " ", ""
        for letter in word:
            breaks = unicodedata.east_asian_width(letter) in "WF" and letter not in NEVER_FIRST
            if piece and (breaks or _ends_wide(piece)) and letter not in NEVER_FIRST:
                yield piece, gap
                gap, piece = "", ""
            piece += letter
        yield piece, gap


def _words(text: str) -> Iterator[str]:
    """Words between blanks; a number stays with what it counts, and marks that stand alone with their word."""
    joined = ""
    for word in text.split(" "):
        if joined and not (joined.isdigit() or joined == OPENING or word in STANDING_ALONE):
            yield joined
            joined = word
        else:
            joined = f"{joined} {word}" if joined else word
    yield joined


def _ends_wide(piece: str) -> bool:
    return unicodedata.east_asian_width(piece[-1]) in "WF"
