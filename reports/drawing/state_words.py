"""States of readiness in words and shades, as the papers on the book as a whole name them."""

from reports.drawing import charts
from reports.drawing.blocks import MM, paragraph, space
from reports.drawing.handover_mesh import figure_strip
from reports.drawing.language import _, later
from reports.drawing.looks import BOOK
from reports.drawing.strips import Strip, beside

STATES = {
    "bare": later("could not be brought back"),
    "unknown": later("nobody can say"),
    "thin": later("on thin cover"),
    "by_hand": later("covered, with work by hand"),
    "covered": later("covered"),
}
"""Worst first."""
NOT_JUDGED = later("not judged")
SIDE = 2.4 * MM


def state_name(state: str | None) -> str:
    """The words for the book's own code of a state; None is a day on which nobody looked."""
    return _(NOT_JUDGED) if state is None else _(STATES[charts.OF_THE_BOOK.get(state, state)])


def legend(width: float, gap: float = MM) -> list[Strip]:
    """All five shades with their words, side by side."""
    room = width / len(STATES)
    columns = []
    for at, state in enumerate(STATES):
        mark = [space((BOOK.label.leading - SIDE) / 2), figure_strip(charts.swatch(state, SIDE))]
        columns.append((at * room, mark))
        text = paragraph(_(STATES[state]), BOOK.label, room - SIDE - 3 * MM)
        columns.append((at * room + SIDE + 1.2 * MM, text))
    return beside(columns, gap)
