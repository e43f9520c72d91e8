"""The parts that sheets are made of: paragraphs, headings, boxes, lines to write on."""

from collections.abc import Sequence
from dataclasses import replace

from reports.drawing.pen import Pen
from reports.drawing.strips import Strip, draw_all, height_of
from reports.drawing.tagging import Tag
from reports.drawing.type import BLACK, Ink, Line, Spans, Style, one_line, set_lines

MM = 72 / 25.4
GRID = 4 * MM
HALF = GRID / 2
WIDOW = 2


def baseline(top: float, style: Style) -> float:
    """Where the baseline of a line stands whose upper edge is `top`."""
    return top - style.leading / 2 - style.size * 0.34


def tag_of(style: Style) -> Tag:
    """What a text of this style is to a reader who listens: a head of its level, or a paragraph."""
    return Tag(f"H{style.level}" if style.level else "P")


def text_strip(
    line: Line, style: Style, width: float, gap: float = 0.0, keep: bool = False, tag: Tag | None = None
) -> Strip:
    """One line of text as a strip. tag: that of the paragraph that it belongs to, if it is not one by itself."""
    part = tag or tag_of(style)

    def draw(pen: Pen, x: float, top: float) -> None:
        pen.line(line, x + (width - line.width if line.far else 0.0), baseline(top, style), part)

    return Strip(style.leading, draw, gap, keep)


def lines_of(text: str | Spans, style: Style, width: float) -> list[Line]:
    """Lines of a text. A right-to-left paragraph that fills one line only stays by its label, on the left."""
    lines = set_lines(((text, style),) if isinstance(text, str) else text, width)
    return [replace(line, rtl=False) for line in lines] if len(lines) == 1 else lines


def paragraph(
    text: str | Spans, style: Style, width: float, gap: float = 0.0, tag: Tag | None = None
) -> list[Strip]:
    """Text over as many lines as it needs; neither the first nor the last line is left alone."""
    lines = lines_of(text, style, width)
    whole = tag or tag_of(style)
    last = len(lines) - 1
    return [
        text_strip(
            line,
            style,
            width,
            gap if at == 0 else 0.0,
            keep=at < min(WIDOW - 1, last) or last - WIDOW < at < last,
            tag=whole,
        )
        for at, line in enumerate(lines)
    ]


def points(texts: Sequence[str | Spans], style: Style, width: float, mark: str = "•") -> list[Strip]:
    """A list with a mark before each entry."""
    indent = one_line(mark, style).width + style.size * 0.5
    strips: list[Strip] = []
    whole = Tag("L")
    for text in texts:
        item = Tag("LI", whole)
        label = Tag("Lbl", item)
        for at, strip in enumerate(paragraph(text, style, width - indent, tag=Tag("LBody", item))):
            strips.append(_indented(strip, indent, one_line(mark, style) if at == 0 else None, style, label))
    return strips


def _indented(strip: Strip, indent: float, mark: Line | None, style: Style, label: Tag) -> Strip:
    def draw(pen: Pen, x: float, top: float) -> None:
        if mark is not None:
            pen.line(mark, x, baseline(top, style), label)
        strip.draw(pen, x + indent, top)

    return replace(strip, draw=draw)


def boxed(
    strips: Sequence[Strip],
    width: float,
    thickness: float = 0.5,
    ink: Ink = BLACK,
    padding: float = HALF,
    label: Line | None = None,
) -> Strip:
    """Strips within a frame. A `label` stands white on a filled tab in the frame's upper edge."""
    tab = GRID * 1.25 if label is not None else 0.0
    head = Tag("H2")
    inside = height_of(strips)
    height = inside + 2 * padding + tab

    def draw(pen: Pen, x: float, top: float) -> None:
        if label is not None:
            pen.fill([(x, top - tab, width, tab)], ink)
            pen.line(label, x + padding, top - tab / 2 - label.pieces[0][1].size * 0.35, head)
        pen.frame(x, top - height, width, height, thickness, ink)
        draw_all(pen, strips, x + padding, top - tab - padding)

    return Strip(height, draw)


def rule_strip(
    width: float, thickness: float, ink: Ink = BLACK, height: float = 0.0, gap: float = 0.0
) -> Strip:
    """A rule across the column, with `height` points of room below it."""

    def draw(pen: Pen, x: float, top: float) -> None:
        pen.rule(x, top, x + width, top, thickness, ink)

    return Strip(height, draw, gap)


def space(height: float) -> Strip:
    """Nothing, of a height."""
    return Strip(height, lambda pen, x, top: None)


def writing_line(label: str, style: Style, width: float, height: float, ink: Ink = BLACK) -> Strip:
    """A line to write on, with its label small beneath it."""
    small = one_line(label, style)

    def draw(pen: Pen, x: float, top: float) -> None:
        edge = top - height + style.leading
        pen.rule(x, edge, x + width, edge, 0.6, ink)
        pen.line(small, x, baseline(edge, style))

    return Strip(height, draw)
