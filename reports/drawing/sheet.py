"""A sheet of paper: its size and margins, the running head and foot, and the file around the pages."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from reports.drawing.blocks import MM, lines_of
from reports.drawing.faces import Family
from reports.drawing.language import _
from reports.drawing.pen import About, Pen
from reports.drawing.strips import Strip, paginate
from reports.drawing.tagging import RUNNING
from reports.drawing.type import Ink, Line, Style, one_line

HEAD_ROOM = 8 * MM
FOOT_ROOM = 9 * MM
GREY: Ink = (0.35, 0.35, 0.35)


class Paper(StrEnum):
    """The two sizes that firms print on (ISO 216 A4; ANSI Letter)."""

    A4 = "A4"
    LETTER = "Letter"

    @property
    def size(self) -> tuple[float, float]:
        """Width and height in points."""
        return (210 * MM, 297 * MM) if self is Paper.A4 else (612.0, 792.0)


@dataclass(frozen=True, slots=True)
class Margins:
    """Room at the edges in points. The left one leaves place for punched holes."""

    left: float = 20 * MM
    right: float = 16 * MM
    top: float = 9 * MM
    bottom: float = 8 * MM


@dataclass(frozen=True, slots=True)
class Running:
    """What stands on every page besides its content."""

    head_left: str
    head_right: str
    foot_left: str
    foot_middle: str
    family: Family


def column_width(paper: Paper, margins: Margins) -> float:
    """The width that content may fill."""
    return paper.size[0] - margins.left - margins.right


def write(strips: Sequence[Strip], paper: Paper, margins: Margins, running: Running, about: About) -> bytes:
    """The strips on as many pages as they need, as one PDF."""
    width, height = paper.size
    pages = paginate(strips, height - margins.top - HEAD_ROOM, margins.bottom + FOOT_ROOM)
    pen = Pen((width, height), about)
    for number, page in enumerate(pages, 1):
        _run(
            pen,
            paper,
            margins,
            running,
            _("page {number} of {count}").format(number=number, count=len(pages)),
        )
        for placed in page:
            placed.strip.draw(pen, margins.left, placed.top)
        pen.next_page()
    return pen.finish()


def _run(pen: Pen, paper: Paper, margins: Margins, running: Running, page: str) -> None:
    left, right = margins.left, paper.size[0] - margins.right
    top = paper.size[1] - margins.top
    small = Style(running.family, 8, 10)
    code = one_line(running.head_right, small.strong())
    pen.line(
        fitted(running.head_left, small.in_ink(GREY), right - left - code.width - 5 * MM),
        left,
        top - 8,
        RUNNING,
    )
    pen.line(code, right - code.width, top - 8, RUNNING)
    pen.rule(left, top - 5 * MM, right, top - 5 * MM, 0.5)
    foot = margins.bottom + 5 * MM
    pen.rule(left, foot, right, foot, 0.5)
    number = one_line(page, small.strong())
    middle = one_line(running.foot_middle, Style(Family.FIXED, 7.5, 10))
    pen.line(one_line(running.foot_left, small), left, foot - 11, RUNNING)
    pen.line(middle, (left + right - middle.width) / 2, foot - 11, RUNNING)
    pen.line(number, right - number.width, foot - 11, RUNNING)


def fitted(text: str, style: Style, width: float) -> Line:
    """The text on one line, cut with an ellipsis where it is too long."""
    lines = lines_of(text, style, width)
    if len(lines) <= 1:
        return next(iter(lines), Line((), 0.0))
    shorter = lines_of(text, style, width - one_line("…", style).width)[0]
    mark = one_line("…", style)
    pieces = (*mark.pieces, *shorter.pieces) if shorter.rtl else (*shorter.pieces, *mark.pieces)
    return Line(pieces, shorter.width + mark.width, shorter.rtl)
