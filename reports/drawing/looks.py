"""The two looks: BOOK for papers read at a table, on a 4 mm baseline; PLAIN for papers read in bad light."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from reports.drawing import words
from reports.drawing.blocks import GRID, MM, rule_strip, text_strip
from reports.drawing.faces import Family
from reports.drawing.saying import said
from reports.drawing.strips import Strip
from reports.drawing.tables import Cell, Look, rows_only, table
from reports.drawing.type import BLACK, Ink, Spans, Style, one_line
from reports.facts.fixed import Text

SLATE: Ink = (0.2, 0.24, 0.28)
FAINT: Ink = (0.42, 0.44, 0.46)


@dataclass(frozen=True, slots=True)
class Kit:
    """The styles of one look, and what is built from them alone."""

    body: Style
    title: Style
    heading: Style
    label: Style
    fixed: Style
    table: Look
    section_gap: float
    label_share: float
    heavy: float

    def heading_strips(self, number: int, text: str, width: float) -> list[Strip]:
        """A section's head under a heavy rule, kept with what follows."""
        line = one_line(f"{number}\u2002{text}", self.heading)
        rule = rule_strip(width, self.heavy, BLACK, height=0.6 * MM, gap=self.section_gap)
        return [_kept(rule), text_strip(line, self.heading, width, keep=True)]

    def value(self, text: Text | None) -> Spans:
        """A fact, or the plain words that nobody recorded it."""
        return ((said(text), self.body),) if text else ((words.not_recorded(), self.body.in_ink(FAINT)),)

    def identifier(self, address: str | None) -> Spans:
        """An address in a fixed face, grouped for reading aloud."""
        return ((words.grouped(address), self.fixed),) if address else self.value(None)

    def pairs(
        self,
        rows: Sequence[tuple[str, Cell]],
        width: float,
        across: int = 2,
        gap: float = 0.0,
        label_share: float | None = None,
    ) -> list[Strip]:
        """Labels with their values, `across` of them side by side, read down each column."""
        deep = -(-len(rows) // across)
        grid = [
            [cell for at in range(line, len(rows), deep) for cell in self._pair(rows[at])]
            for line in range(deep)
        ]
        full = [row + [""] * (2 * across - len(row)) for row in grid]
        share = self.label_share if label_share is None else label_share
        shares = (share, 1 - share) * across
        labels = tuple(range(0, 2 * across, 2))
        return table(replace(rows_only(shares, full), labels=labels), self.table, width, gap)

    def _pair(self, row: tuple[str, Cell]) -> tuple[Cell, Cell]:
        label, value = row
        return ((label, self.label),), value


def _kept(strip: Strip) -> Strip:
    return Strip(strip.height, strip.draw, strip.gap, keep=True)


BOOK_BODY = Style(Family.BOOK, 9.5, GRID)
BOOK = Kit(
    body=BOOK_BODY,
    title=Style(Family.BOOK, 25, 10 * MM, bold=True, level=1),
    heading=Style(Family.BOOK, 12, 6 * MM, bold=True, level=2),
    label=Style(Family.PLAIN, 7.4, GRID, ink=SLATE),
    fixed=Style(Family.FIXED, 9.2, GRID),
    table=Look(
        body=BOOK_BODY,
        head=Style(Family.PLAIN, 7.4, GRID, bold=True, ink=SLATE),
        group=Style(Family.BOOK, 9.5, GRID, bold=True),
        pad=0.35 * MM,
        rule=FAINT,
    ),
    section_gap=2.8 * MM,
    label_share=0.32,
    heavy=1.0,
)

PLAIN_BODY = Style(Family.PLAIN, 9.2, 3.85 * MM)
PLAIN = Kit(
    body=PLAIN_BODY,
    title=Style(Family.PLAIN, 21, 9 * MM, bold=True, level=1),
    heading=Style(Family.PLAIN, 11, 5 * MM, bold=True, level=2),
    label=Style(Family.PLAIN, 7.4, 3.85 * MM, bold=True),
    fixed=Style(Family.FIXED, 10, 3.85 * MM),
    table=Look(
        body=PLAIN_BODY,
        head=Style(Family.PLAIN, 7.6, 3.6 * MM, bold=True),
        group=Style(Family.PLAIN, 9.2, 3.85 * MM, bold=True),
        pad=0.6 * MM,
        rule_thickness=0.35,
    ),
    section_gap=2.0 * MM,
    label_share=0.24,
    heavy=1.4,
)
