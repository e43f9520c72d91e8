"""Lines to sign on and lines to fill in, for sheets of either look."""

from collections.abc import Sequence
from dataclasses import replace

from reports.drawing.blocks import HALF, MM, boxed, writing_line
from reports.drawing.looks import Kit
from reports.drawing.strips import Strip, beside
from reports.drawing.tables import Cell, rows_only, table

BETWEEN = 8 * MM
LINE = 12 * MM
ROOM_TO_WRITE = 3.6 * MM


def signature_block(kit: Kit, rows: Sequence[Sequence[str]], width: float, gap: float = 2 * MM) -> Strip:
    """A box of lines to sign on, row by row, each with its label beneath. Never cut."""
    inside = width - 2 * HALF
    lines = [strip for row in rows for strip in _signers(kit, row, inside)]
    block = boxed(lines, width)
    return Strip(block.height, block.draw, gap)


def _signers(kit: Kit, labels: Sequence[str], width: float) -> list[Strip]:
    column = (width - BETWEEN * (len(labels) - 1)) / len(labels)
    return beside(
        [
            (at * (column + BETWEEN), [writing_line(label, kit.label, column, LINE)])
            for at, label in enumerate(labels)
        ]
    )


def log_rows(
    kit: Kit, names: Sequence[str], heads: Sequence[str], shares: Sequence[float], width: float
) -> list[Strip]:
    """Rows with room to write: the name of each, then empty columns under their heads."""
    rows: list[list[Cell]] = [[name, *("" for _ in heads[1:])] for name in names]
    return table(rows_only(shares, rows, heads), replace(kit.table, pad=ROOM_TO_WRITE), width)
