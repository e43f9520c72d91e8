"""Trials as squares in rows, filled where one passed: how little or how much a record is, at a glance."""

from reports.drawing.blocks import MM
from reports.drawing.looks import SLATE
from reports.drawing.pen import Pen
from reports.drawing.strips import Strip

SIDE = 2.6 * MM
STEP = 3.5 * MM
MOST_ROWS = 4


def most_drawn(width: float) -> int:
    """How many trials this width has room for."""
    return int(width // STEP) * MOST_ROWS


def trials_strip(passes: int, trials: int, width: float, gap: float = 0.0) -> Strip:
    """The trials, those that passed first; at most as many as there is room for."""
    across = max(1, int(width // STEP))
    drawn = min(trials, most_drawn(width))
    rows = -(-drawn // across)
    filled = min(passes, drawn)

    def draw(pen: Pen, x: float, top: float) -> None:
        places = [(x + at % across * STEP, top - at // across * STEP - SIDE) for at in range(drawn)]
        pen.fill([(left, foot, SIDE, SIDE) for left, foot in places[:filled]], SLATE)
        for left, foot in places[filled:]:
            pen.frame(left, foot, SIDE, SIDE, 0.6)

    return Strip(rows * STEP, draw, gap)
