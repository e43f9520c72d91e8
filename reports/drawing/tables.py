"""Tables: ruled like a ledger, the head repeated on every page, groups named again where they go on."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum

from reports.drawing.blocks import MM, baseline, lines_of
from reports.drawing.pen import Pen
from reports.drawing.strips import Strip
from reports.drawing.tagging import RUNNING, Tag
from reports.drawing.type import BLACK, Ink, Line, Spans, Style


class Mark(Enum):
    """A cell that holds no text: TICK is an empty box to tick."""

    TICK = "tick"


Cell = str | Spans | Mark
MOST_LINES = 12
GUTTER = 2.2 * MM
TICK_SIDE = 3.3 * MM
BALLOT_BOX = "\u2610"


@dataclass(frozen=True, slots=True)
class Look:
    """How a table looks. `pad` is the room in a row besides its lines, in points."""

    body: Style
    head: Style
    group: Style
    pad: float = MM
    rule: Ink = BLACK
    rule_thickness: float = 0.25


@dataclass(frozen=True, slots=True)
class Group:
    """Rows under one name. `continued` is what the name becomes on the next page."""

    name: Cell
    rows: Sequence[Sequence[Cell]]
    continued: Cell = ""


@dataclass(frozen=True, slots=True)
class Table:
    """Columns by their share of the width, groups of rows, and the columns' heads (none: no head row).

    labels: which columns name what stands to the right of them; None: the first where there is no head row.
    """

    shares: Sequence[float]
    groups: Sequence[Group]
    heads: Sequence[str] = ()
    labels: Sequence[int] | None = None

    def naming(self) -> Sequence[int]:
        """The columns that name what stands to the right of them."""
        return self.labels if self.labels is not None else () if self.heads else (0,)


def rows_only(shares: Sequence[float], rows: Sequence[Sequence[Cell]], heads: Sequence[str] = ()) -> Table:
    """A table of one nameless group."""
    return Table(shares, (Group("", rows),), heads)


def table(content: Table, look: Look, width: float, gap: float = 0.0) -> list[Strip]:
    """The table as strips, one a row, `gap` above the first of them."""
    ruled = _Ruled(look, width, _edges(content.shares, width), content.naming())
    heads = (ruled.head(content.heads),) if content.heads else ()
    strips = [*heads, *(strip for group in content.groups for strip in ruled.group(group, heads))]
    if strips:
        first = strips[0]
        strips[0] = Strip(first.height, first.draw, gap, first.keep)
    return strips


def _edges(shares: Sequence[float], width: float) -> list[tuple[float, float]]:
    """Offset and width of each column, the gutter taken off all but the last."""
    total = sum(shares)
    offsets = [width * sum(shares[:place]) / total for place in range(len(shares))]
    ends = [*(offset - GUTTER for offset in offsets[1:]), width]
    return [(offset, end - offset) for offset, end in zip(offsets, ends, strict=True)]


@dataclass(frozen=True, slots=True)
class _Set:
    """One cell ready to draw, with the tag of its kind in the row at hand."""

    lines: Sequence[Line]
    tick: bool = False

    def tag(self, row: Tag, naming: bool) -> Tag:
        """What it is to a reader who listens."""
        if naming:
            return Tag("TH", row, scope="Row")
        return Tag("TD", row, said=BALLOT_BOX if self.tick else "")


@dataclass(frozen=True, slots=True)
class _Ruled:
    """A table's columns on paper."""

    look: Look
    width: float
    edges: Sequence[tuple[float, float]]
    naming: Sequence[int]
    tag: Tag = field(default_factory=lambda: Tag("Table"))

    def head(self, heads: Sequence[str]) -> Strip:
        style = self.look.head
        cells = [_set(head, style, room) for head, (_, room) in zip(heads, self.edges, strict=True)]
        height = _tallest(cells) * style.leading + self.look.pad / 2
        line = Tag("TR", self.tag)
        tags = [Tag("TH", line, scope="Column") for _ in cells]

        def draw(pen: Pen, x: float, top: float) -> None:
            again = pen.once(line) is RUNNING
            _draw(pen, cells, [RUNNING] * len(cells) if again else tags, self.edges, style, x, top)
            pen.rule(
                x, top - height, x + self.width, top - height, self.look.rule_thickness * 3, self.look.rule
            )

        return Strip(height, draw, keep=True)

    def group(self, group: Group, heads: tuple[Strip, ...]) -> list[Strip]:
        strips: list[Strip] = []
        again = heads
        if group.name:
            strips.append(self._name(group.name, heads))
            again = (*heads, self._name(group.continued or group.name, heads, RUNNING))
        last = len(group.rows) - 1
        for at, row in enumerate(group.rows):
            lonely = (at == last - 1 and last > 1) or (at == 0 and last > 0)
            strips.extend(self._row(row, again, lonely))
        return strips

    def _name(self, name: Cell, again: tuple[Strip, ...], tag: Tag | None = None) -> Strip:
        style = self.look.group
        tags = [tag or Tag("TH", Tag("TR", self.tag), scope="Column", span=len(self.edges))]
        cells = [_set(name, style, self.width)]
        height = _tallest(cells) * style.leading + self.look.pad

        def draw(pen: Pen, x: float, top: float) -> None:
            _draw(pen, cells, tags, [(0.0, self.width)], style, x, top - self.look.pad / 2)
            pen.rule(
                x, top - height, x + self.width, top - height, self.look.rule_thickness * 2, self.look.rule
            )

        return Strip(height, draw, keep=True, again=again)

    def _row(self, row: Sequence[Cell], again: tuple[Strip, ...], lonely: bool) -> list[Strip]:
        cells = [_set(cell, self.look.body, room) for cell, (_, room) in zip(row, self.edges, strict=True)]
        cuts = range(0, _tallest(cells), MOST_LINES)
        parts = [
            [_Set(cell.lines[cut : cut + MOST_LINES], cell.tick and cut == 0) for cell in cells]
            for cut in cuts
        ]
        line = Tag("TR", self.tag)
        tags = [cell.tag(line, at in self.naming) for at, cell in enumerate(cells)]
        return [
            self._part(part, tags, again, lonely and len(parts) == 1, part is parts[-1]) for part in parts
        ]

    def _part(
        self, cells: Sequence[_Set], tags: Sequence[Tag], again: tuple[Strip, ...], lonely: bool, ruled: bool
    ) -> Strip:
        style, pad = self.look.body, self.look.pad
        height = _tallest(cells) * style.leading + pad

        def draw(pen: Pen, x: float, top: float) -> None:
            _draw(pen, cells, tags, self.edges, style, x, top - pad / 2)
            if ruled:
                pen.rule(
                    x, top - height, x + self.width, top - height, self.look.rule_thickness, self.look.rule
                )

        return Strip(height, draw, keep=lonely, again=again)


def _set(cell: Cell, style: Style, room: float) -> _Set:
    return _Set((), tick=True) if isinstance(cell, Mark) else _Set(lines_of(cell, style, room))


def _tallest(cells: Sequence[_Set]) -> int:
    return max(1, *(len(cell.lines) for cell in cells))


def _draw(
    pen: Pen,
    cells: Sequence[_Set],
    tags: Sequence[Tag],
    edges: Sequence[tuple[float, float]],
    style: Style,
    x: float,
    top: float,
) -> None:
    for cell, tag, (offset, room) in zip(cells, tags, edges, strict=True):
        pen.note(tag)
        if cell.tick:
            side = min(TICK_SIDE, style.leading * 0.85)
            pen.frame(x + offset + 0.3 * MM, top - style.leading / 2 - side / 2, side, side, 0.8, tag=tag)
        for number, line in enumerate(cell.lines):
            right = room - line.width if line.far else 0.0
            pen.line(line, x + offset + right, baseline(top - number * style.leading, style), tag)
