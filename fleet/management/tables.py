"""Plain tables for the terminal: columns as wide as what people see, long sentences folded."""

import shutil
import textwrap
from collections.abc import Sequence

from fleet.planning.messages.columns import width

GAP = "  "
NARROWEST = 24


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], columns: int | None = None) -> str:
    """The rows under their heads. Columns of sentences (the last two) share what room is left and fold."""
    room = columns or shutil.get_terminal_size((160, 40)).columns
    widths = [max(width(row[place]) for row in (heads, *rows)) for place in range(len(heads))]
    left = room - sum(widths[:-2]) - len(GAP) * (len(heads) - 1)
    for place in (-2, -1):
        widths[place] = min(widths[place], max(left // 2, NARROWEST))
    lines = [_line(heads, widths), _line(["-" * wide for wide in widths], widths)]
    for row in rows:
        lines += _folded(row, widths)
    return "\n".join(lines)


def _folded(row: Sequence[str], widths: Sequence[int]) -> list[str]:
    cells = [textwrap.wrap(text, wide) or [""] for text, wide in zip(row, widths, strict=True)]
    height = max(len(cell) for cell in cells)
    padded = [cell + [""] * (height - len(cell)) for cell in cells]
    return [_line(parts, widths) for parts in zip(*padded, strict=True)]


def _line(parts: Sequence[str], widths: Sequence[int]) -> str:
    return GAP.join(
        part + " " * (wide - width(part)) for part, wide in zip(parts, widths, strict=True)
    ).rstrip()
