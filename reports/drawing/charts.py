"""Pictures of states over days and of ages: worse is darker and taller, and what nobody judged is left blank.

Each is a ReportLab drawing, the same for paper and for a page, in shades that a black and white printer keeps apart.
Their only text is digits, so they serve every language.
"""

from collections.abc import Callable, Iterable, Sequence
from datetime import date

from reportlab.graphics.shapes import Drawing, Line, Path, Rect, String
from reportlab.lib.colors import Color

from reports.drawing.embedding import pdf_font
from reports.facts.digest import DayOfBook, Standing
from reports.facts.evidence import DayState

BLACK = Color(0, 0, 0)
WHITE = Color(1, 1, 1)
RULE = Color(0.42, 0.44, 0.46)
SHADES = {
    "covered": Color(0.88, 0.88, 0.86),
    "by_hand": Color(0.72, 0.73, 0.72),
    "thin": Color(0.48, 0.51, 0.53),
    "unknown": WHITE,
    "bare": BLACK,
}
"""From best to worst. What is unknown is drawn as an outline with a bar across it."""
HEIGHTS = {"covered": 0.16, "by_hand": 0.34, "thin": 0.6, "unknown": 1.0, "bare": 1.0}
OF_THE_BOOK = {"covered_with_handwork": "by_hand"}
FOOT = 9.0
LEAST_BARRED = 5.0
Box = tuple[float, float, float, float]


def swatch(state: str, side: float) -> Drawing:
    """The shade of one state as a square, for a legend."""
    drawing = _blank(side, side)
    _put(drawing, state, [(0.25, 0.25, side - 0.5, side - 0.5)])
    return drawing


def homes_by_day(days: Sequence[DayOfBook], width: float, height: float) -> Drawing:
    """A column a day: homes by state, the best at the foot. A day on which the book was not judged has a dot."""
    drawing = _blank(width, height)
    left = 16.0
    most = max((_of(day.standing).judged for day in days), default=0)
    room, step = height - FOOT - 2, (width - left) / max(len(days), 1)
    boxes: dict[str, list[Box]] = {state: [] for state in SHADES}
    for at, day in enumerate(days):
        x, foot = left + at * step, FOOT
        if day.standing is None:
            drawing.add(_dot(x + step / 2, FOOT + 2.5))
        for state in SHADES:
            tall = getattr(_of(day.standing), state) / most * room if most else 0.0
            if tall:
                boxes[state].append((x + 0.6, foot, step - 1.2, tall))
            foot += tall
    for state, found in boxes.items():
        _put(drawing, state, found)
    _ruled(drawing, left, width, most, room)
    _numbered(drawing, [day.day for day in days], lambda at: left + (at + 0.5) * step, step)
    return drawing


def course(days: Sequence[DayState], width: float, height: float) -> Drawing:
    """A sliver a day in the shade of its state, taller the worse; the first of each month has its number beneath."""
    drawing = _blank(width, height)
    step, room = width / max(len(days), 1), height - FOOT
    boxes: dict[str, list[Box]] = {state: [] for state in SHADES}
    for at, day in enumerate(days):
        if day.state is not None:
            state = OF_THE_BOOK.get(day.state, day.state)
            boxes[state].append((at * step, FOOT, step, room * HEIGHTS[state]))
    for state, found in boxes.items():
        _put(drawing, state, _joined(found))
    drawing.add(Line(0, FOOT, width, FOOT, strokeColor=BLACK, strokeWidth=0.5))
    for at, day in enumerate(days):
        if day.day.day == 1:
            drawing.add(Line(at * step, FOOT - 3, at * step, FOOT, strokeColor=BLACK, strokeWidth=0.5))
            if at * step + 12 <= width:
                drawing.add(_label(str(day.day.month), at * step + 2, 1, anchor="start"))
    return drawing


def column(count: int, most: int, width: float, height: float) -> Drawing:
    """One column of a chart with its number on top."""
    drawing = _blank(width, height)
    tall = (height - 9) * count / most if most else 0.0
    if tall:
        drawing.add(Rect(width * 0.15, 0, width * 0.7, tall, fillColor=SHADES["thin"], strokeColor=None))
    drawing.add(Line(0, 0, width, 0, strokeColor=BLACK, strokeWidth=0.5))
    drawing.add(_label(str(count), width / 2, tall + 2))
    return drawing


def _of(standing: Standing | None) -> Standing:
    return standing or Standing()


def _joined(boxes: Iterable[Box]) -> list[Box]:
    """Neighbours of one height as one box, which leaves no hair lines between them."""
    found: list[Box] = []
    for x, y, width, height in boxes:
        if found and abs(found[-1][0] + found[-1][2] - x) < 0.01:
            found[-1] = (found[-1][0], y, found[-1][2] + width, height)
        else:
            found.append((x, y, width, height))
    return found


def _put(drawing: Drawing, state: str, boxes: Sequence[Box]) -> None:
    """All boxes of one state as a single path, which draws many times faster than one by one."""
    if not boxes:
        return
    outlined = state == "unknown"
    path = Path(fillColor=SHADES[state], strokeColor=BLACK if outlined else None, strokeWidth=0.4)
    for x, y, width, height in boxes:
        path.moveTo(x, y)
        path.lineTo(x + width, y)
        path.lineTo(x + width, y + height)
        path.lineTo(x, y + height)
        path.closePath()
    drawing.add(path)
    for x, y, width, height in boxes if outlined else ():
        if height < LEAST_BARRED:
            continue
        drawing.add(Line(x, y, x + width, y + height, strokeColor=BLACK, strokeWidth=0.4))


def _ruled(drawing: Drawing, left: float, width: float, most: int, room: float) -> None:
    drawing.add(Line(left, FOOT, width, FOOT, strokeColor=BLACK, strokeWidth=0.5))
    if most:
        drawing.add(Line(left, FOOT + room, width, FOOT + room, strokeColor=RULE, strokeWidth=0.25))
        drawing.add(_label(str(most), left - 3, FOOT + room - 5, anchor="end"))
        drawing.add(_label("0", left - 3, FOOT, anchor="end"))


def _numbered(drawing: Drawing, days: Sequence[date], at: Callable[[int], float], step: float) -> None:
    for place, day in enumerate(days):
        if step >= 11 or day.day == 1 or day.day % 5 == 0:
            drawing.add(_label(str(day.day), at(place), 1))


def _dot(x: float, y: float) -> Rect:
    return Rect(x - 0.75, y - 0.75, 1.5, 1.5, fillColor=RULE, strokeColor=None)


def _label(text: str, x: float, y: float, anchor: str = "middle") -> String:
    font = pdf_font("NotoSans-Regular").fontName
    return String(x, y, text, fontName=font, fontSize=6.5, textAnchor=anchor, fillColor=BLACK)


def _blank(width: float, height: float) -> Drawing:
    """An empty drawing that names an embedded font, as figures.py does."""
    return Drawing(width, height, initialFontName=pdf_font("NotoSans-Regular").fontName)
