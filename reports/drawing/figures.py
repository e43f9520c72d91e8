"""Figures that say more than a number: headroom, channels under the Wi-Fi, the snapshot calendar.

Each is a ReportLab drawing, the same for paper and, through `as_svg`, for a page. Their only text is digits.
"""

from collections.abc import Sequence
from datetime import date

from reportlab.graphics import renderSVG
from reportlab.graphics.shapes import Drawing, Group, Line, Path, Rect, String
from reportlab.lib.colors import Color

from reports.drawing.embedding import pdf_font
from reports.facts.mesh import ChannelSurvey, WifiCell
from reports.facts.snapshots import CalendarDay, DayMark

FIRST_MHZ, LAST_MHZ = 2400.0, 2485.0
CHANNELS = range(11, 27)
WARN_SHARE, STOP_SHARE = 0.8, 0.9
BLACK = Color(0, 0, 0)
FILLED = Color(0.25, 0.29, 0.33)
LIGHT = Color(0.78, 0.78, 0.76)
PALE = Color(0.9, 0.9, 0.88)
FLOOR_DBM, CEILING_DBM, UNKNOWN_DBM = -95, -35, -65


def _blank(width: float, height: float) -> Drawing:
    """An empty drawing that names an embedded font, for ReportLab would set one of its own before the first shape."""
    return Drawing(width, height, initialFontName=pdf_font("NotoSans-Regular").fontName)


def headroom_bar(used: int | None, limit: int | None, width: float, height: float) -> Drawing:
    """A bar of `limit` filled to `used`, with marks at 20 % and 10 % left. Unknown numbers leave it empty, dashed."""
    drawing = _blank(width, height)
    known = used is not None and limit is not None and limit > 0
    outline = Rect(0, 0, width, height, fillColor=None, strokeColor=BLACK, strokeWidth=0.5)
    if not known:
        outline.strokeDashArray = [2, 2]
    else:
        share = min((used or 0) / (limit or 1), 1.0)
        drawing.add(Rect(0, 0, width * share, height, fillColor=FILLED, strokeColor=None))
        for mark in (WARN_SHARE, STOP_SHARE):
            drawing.add(
                Line(width * mark, -1.5, width * mark, height + 1.5, strokeColor=BLACK, strokeWidth=0.6)
            )
    drawing.add(outline)
    return drawing


def centre_mhz(channel: int) -> int:
    """Centre of a 2.4 GHz channel, 11 to 26 (IEEE 802.15.4: 2405 + 5 (k - 11) MHz)."""
    return 2405 + 5 * (channel - 11)


def wifi_centre_mhz(cell: WifiCell) -> int:
    """Centre of a Wi-Fi channel (IEEE 802.11: 2407 + 5 n MHz, and 2484 for 14). A 40 MHz cell is drawn upwards of
    its primary channel up to 7 and downwards from 8 on (common practice, no source)."""
    centre = 2484 if cell.channel == 14 else 2407 + 5 * cell.channel
    shift = 0 if cell.width_mhz <= 20 else (10 if cell.channel <= 7 else -10)
    return centre + shift


def spectrum(survey: ChannelSurvey | None, ours: Sequence[int], width: float, height: float) -> Drawing:
    """Channels 11 to 26 as teeth, the ones in `ours` filled, under the humps of the Wi-Fi heard at the home."""
    drawing = _blank(width, height)
    base = 9.0
    for cell in survey.cells if survey else ():
        drawing.add(_hump(cell, width, base, height - base - 7))
    for cell in survey.cells if survey else ():
        drawing.add(
            _label(
                str(cell.channel),
                _at(wifi_centre_mhz(cell), width),
                _peak(cell, base, height - base - 7) + 1.5,
            )
        )
    drawing.add(Line(0, base, width, base, strokeColor=BLACK, strokeWidth=0.5))
    tooth = width * 2 / (LAST_MHZ - FIRST_MHZ)
    for channel in CHANNELS:
        at = _at(centre_mhz(channel), width)
        mine = channel in ours
        drawing.add(
            Rect(
                at - tooth / 2,
                base,
                tooth,
                (height - base) * (0.62 if mine else 0.22),
                fillColor=BLACK if mine else None,
                strokeColor=BLACK,
                strokeWidth=0.5,
            )
        )
        drawing.add(_label(str(channel), at, 1.0, bold=mine))
    return drawing


def _at(mhz: float, width: float) -> float:
    return (mhz - FIRST_MHZ) / (LAST_MHZ - FIRST_MHZ) * width


def _peak(cell: WifiCell, base: float, room: float) -> float:
    level = UNKNOWN_DBM if cell.level_dbm is None else cell.level_dbm
    share = (level - FLOOR_DBM) / (CEILING_DBM - FLOOR_DBM)
    return base + room * min(max(share, 0.15), 1.0)


def _hump(cell: WifiCell, width: float, base: float, room: float) -> Path:
    centre = wifi_centre_mhz(cell)
    half = max(cell.width_mhz, 20) / 2
    left, right = max(_at(centre - half - 1, width), 0), min(_at(centre + half + 1, width), width)
    top = _peak(cell, base, room)
    shoulder = (right - left) * 0.12
    path = Path(fillColor=PALE, strokeColor=FILLED, strokeWidth=0.5)
    path.moveTo(left, base)
    path.curveTo(left + shoulder / 2, base, left + shoulder / 2, top, left + shoulder, top)
    path.lineTo(right - shoulder, top)
    path.curveTo(right - shoulder / 2, top, right - shoulder / 2, base, right, base)
    path.closePath()
    return path


def _label(text: str, x: float, y: float, bold: bool = False) -> String:
    font = pdf_font("NotoSans-Bold" if bold else "NotoSans-Regular").fontName
    return String(x, y, text, fontName=font, fontSize=6.5, textAnchor="middle", fillColor=BLACK)


def calendar(days: Sequence[CalendarDay], width: float, cell: float = 5.4) -> Drawing:
    """One row a month, newest at the foot, one square a day: empty none, light landed, dark sound, ringed proven."""
    months = sorted({(each.day.year, each.day.month) for each in days})
    drawing = _blank(width, max(len(months), 1) * (cell + 1.2) + 8)
    left = 34.0
    step = min((width - left) / 31, cell + 1.2)
    places = {each.day: _square(each.day, months, left, step, cell) for each in days}
    for mark, colour in (
        (DayMark.NONE, None),
        (DayMark.LANDED, LIGHT),
        (DayMark.SOUND, FILLED),
        (DayMark.PROVEN, BLACK),
    ):
        squares = [places[each.day] for each in days if each.mark is mark]
        if squares:
            drawing.add(_squares(squares, colour, step - 1.2))
    for year, number in months:
        y = (len(months) - 1 - months.index((year, number))) * (cell + 1.2)
        drawing.add(_month_label(f"{year}-{number:02d}", y + cell * 0.12))
    for number in (1, 10, 20, 31):
        drawing.add(_label(str(number), left + (number - 0.5) * step - 0.6, len(months) * (cell + 1.2) + 1))
    for proven in (places[each.day] for each in days if each.mark is DayMark.PROVEN):
        drawing.add(_ring(proven, step - 1.2))
    return drawing


def _month_label(text: str, y: float) -> String:
    return String(0, y, text, fontName=pdf_font("NotoSans-Regular").fontName, fontSize=6.5, fillColor=BLACK)


def _square(
    day: date, months: list[tuple[int, int]], left: float, step: float, cell: float
) -> tuple[float, float]:
    row = len(months) - 1 - months.index((day.year, day.month))
    return left + (day.day - 1) * step, row * (cell + 1.2)


def _squares(places: Sequence[tuple[float, float]], colour: Color | None, side: float) -> Path:
    """All squares of one kind as a single path, which draws many times faster than one by one."""
    path = Path(fillColor=colour, strokeColor=FILLED if colour is None else None, strokeWidth=0.25)
    for x, y in places:
        path.moveTo(x, y)
        path.lineTo(x + side, y)
        path.lineTo(x + side, y + side)
        path.lineTo(x, y + side)
        path.closePath()
    return path


def _ring(place: tuple[float, float], side: float) -> Group:
    x, y = place
    white = Rect(
        x + side * 0.3, y + side * 0.3, side * 0.4, side * 0.4, fillColor=Color(1, 1, 1), strokeColor=None
    )
    return Group(white)


def as_svg(drawing: Drawing) -> str:
    """The drawing for a page."""
    return str(renderSVG.drawToString(drawing))
