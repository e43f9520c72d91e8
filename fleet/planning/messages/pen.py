"""What writes a letter: paragraphs and rows of at most 76 columns, in the reader's direction and on their clock."""

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from fleet.planning.messages.columns import fold, width
from fleet.planning.messages.phrases import Words

COLUMNS = 76
RIGHT_TO_LEFT = frozenset({"R", "AL"})
FIRST_STRONG, END_OF_ISOLATE, RIGHT_TO_LEFT_MARK = "\u2068", "\u2069", "\u200f"
"""Unicode UAX 9: an isolate keeps text of the other direction whole; the mark turns a line that begins with one."""


@dataclass(frozen=True, slots=True)
class Desk:
    """For whom a letter is written: their clock and direction of writing, and where the book is found, if told."""

    zone: ZoneInfo
    right_to_left: bool = False
    address: str = ""


class Pen:
    """Collects paragraphs and rows, folded and in the reader's direction."""

    def __init__(self, desk: Desk, words: Words) -> None:
        self.desk, self.words = desk, words
        self._blocks: list[list[str]] = []

    def paragraph(self, *sentences: str) -> None:
        """A block of lines, each sentence on its own; empty ones are left out."""
        lines = [line for sentence in sentences if sentence for line in fold(sentence, COLUMNS)]
        if lines:
            self._blocks.append(lines)

    def rows(self, rows: Iterable[tuple[str, str]]) -> None:
        """Two columns under the last paragraph; the second folds under itself."""
        told = list(rows)
        wide = max(width(code) for code, _ in told)
        for code, details in told:
            indent = f"  {self.isolated(code)}{' ' * (wide - width(code))}  "
            self._blocks[-1] += fold(details, COLUMNS, indent, " " * (wide + 4))

    def moment(self, at: datetime, zone: ZoneInfo) -> str:
        """On the clock there, with the reader's beside it where it differs: 2027-03-26 21:45 Chatham (08:00 UTC)."""
        there, here = at.astimezone(zone), at.astimezone(self.desk.zone)
        text = f"{there:%Y-%m-%d %H:%M} {_town(zone)}"
        if there.replace(tzinfo=None) != here.replace(tzinfo=None):
            form = "%H:%M" if there.date() == here.date() else "%Y-%m-%d %H:%M"
            text += f" ({here.strftime(form)} {_town(self.desk.zone)})"
        return self.isolated(text)

    def isolated(self, text: str) -> str:
        """A code, a moment or a name, kept in its own order inside a line that may run the other way."""
        turns = self.desk.right_to_left or any(
            unicodedata.bidirectional(letter) in RIGHT_TO_LEFT for letter in text
        )
        return f"{FIRST_STRONG}{text}{END_OF_ISOLATE}" if turns else text

    @property
    def text(self) -> str:
        """The whole letter."""
        mark = RIGHT_TO_LEFT_MARK if self.desk.right_to_left else ""
        return "\n\n".join("\n".join(mark + line for line in block) for block in self._blocks) + "\n"


def _town(zone: ZoneInfo) -> str:
    return zone.key.rpartition("/")[2].replace("_", " ")
