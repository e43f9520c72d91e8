"""A three-page sheet against its floor: the same marks drawn straight on a ReportLab canvas.

Run as `python -m tests.bench.bench_sheet`. Both sides embed fonts and draw the same words, rules and figures; the floor
is given every place and every width, shapes nothing, and tags nothing.
"""

import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from typing import Any
from unittest.mock import patch

from reportlab.graphics import shapes
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from reports.drawing import handover
from reports.drawing.faces import FOLDER
from reports.drawing.pen import Pen
from reports.drawing.sheet import Paper
from reports.facts.handover import HandoverFacts
from tests.reports import samples

ROUNDS = 41
HOLD = 2.5
Step = Callable[[Canvas], None]


class Tape:
    """Notes what the pen does, as steps for a bare canvas."""

    def __init__(self) -> None:
        self.steps: list[Step] = []

    def line(self, pen: Pen, line: Any, x: float, baseline: float, tag: Any = None) -> None:
        runs: list[list[Any]] = []
        for piece, style in line.pieces:
            text = "".join(glyph.text for glyph in piece.glyphs)
            look = (f"floor {piece.face.name}", style.size * piece.face.scale, style.ink)
            width = piece.width * look[1] / 1000
            if runs and runs[-1][0] == look:
                runs[-1][2] += text
            else:
                runs.append([look, x, text])
            x += width
        for (name, size, ink), at, text in runs:
            self.steps.append(
                lambda c, n=name, s=size, i=ink, at=at, t=text: _text(c, n, s, i, at, baseline, t)
            )

    def rule(
        self, pen: Pen, x: float, y: float, to_x: float, to_y: float, thickness: float, ink: Any = (0, 0, 0)
    ) -> None:
        self.steps.append(
            lambda c: (c.setStrokeColor(ink), c.setLineWidth(thickness), c.line(x, y, to_x, to_y))[0]
        )

    def frame(
        self,
        pen: Pen,
        x: float,
        y: float,
        width: float,
        height: float,
        thickness: float,
        ink: Any = (0, 0, 0),
        tag: Any = None,
    ) -> None:
        self.steps.append(lambda c: (c.setLineWidth(thickness), c.rect(x, y, width, height))[0])

    def fill(self, pen: Pen, boxes: Any, ink: Any = (0, 0, 0), alt: str = "") -> None:
        boxes = list(boxes)

        def step(canvas: Canvas) -> None:
            canvas.setFillColor(ink)
            path = canvas.beginPath()
            for box in boxes:
                path.rect(*box)
            canvas.drawPath(path, stroke=0, fill=1)

        self.steps.append(step)

    def figure(self, pen: Pen, drawing: Any, x: float, y: float, alt: str = "") -> None:
        def step(canvas: Canvas) -> None:
            canvas.saveState()
            canvas.translate(x, y)
            _shapes(canvas, drawing.contents)
            canvas.restoreState()

        self.steps.append(step)

    def next_page(self, pen: Pen) -> None:
        self.steps.append(lambda c: c.showPage())


def _stroked(canvas: Canvas, thickness: float, ink: Any) -> Canvas:
    canvas.setStrokeColor(ink)
    canvas.setLineWidth(thickness)
    return canvas


def _text(canvas: Canvas, name: str, size: float, ink: Any, x: float, y: float, text: str) -> None:
    canvas.setFillColor(ink)
    canvas.setFont(name, size)
    canvas.drawString(x, y, text)


def _shapes(canvas: Canvas, contents: Any) -> None:
    for shape in contents:
        if isinstance(shape, shapes.Group):
            _shapes(canvas, shape.contents)
        elif isinstance(shape, shapes.String):
            _text(canvas, f"floor {shape.fontName}", shape.fontSize, (0, 0, 0), shape.x, shape.y, shape.text)
        elif isinstance(shape, shapes.Line):
            canvas.line(shape.x1, shape.y1, shape.x2, shape.y2)
        else:
            _filled(canvas, shape)


def _filled(canvas: Canvas, shape: Any) -> None:
    fill, stroke = shape.fillColor, shape.strokeColor
    if fill is not None:
        canvas.setFillColor(fill)
    if stroke is not None:
        canvas.setStrokeColor(stroke)
    path = canvas.beginPath()
    if isinstance(shape, shapes.Rect):
        path.rect(shape.x, shape.y, shape.width, shape.height)
    else:
        points = iter(shape.points)
        for operator in shape.operators:
            take = (path.moveTo, path.lineTo, path.curveTo, path.close)[operator]
            take(*(next(points) for _ in range((2, 2, 6, 0)[operator])))
    canvas.drawPath(path, stroke=int(stroke is not None), fill=int(fill is not None))


def record(draw: Callable[[], bytes]) -> list[Step]:
    """The steps of one drawing."""
    tape = Tape()
    names = ("line", "rule", "frame", "fill", "figure", "next_page")

    def noting(name: str) -> Callable[..., None]:
        real, noted = getattr(Pen, name), getattr(tape, name)

        def both(pen: Pen, *args: Any, **kwargs: Any) -> None:
            noted(pen, *args, **kwargs)
            real(pen, *args, **kwargs)

        return both

    with patch.multiple(Pen, **{name: noting(name) for name in names}):
        draw()
    return tape.steps


def floor(steps: list[Step]) -> bytes:
    """The steps on a bare canvas."""
    file = BytesIO()
    canvas = Canvas(file, pagesize=Paper.A4.size, pageCompression=1, invariant=1)
    for step in steps:
        step(canvas)
    canvas.save()
    return file.getvalue()


def milliseconds(work: Callable[[], bytes]) -> float:
    """How long one call takes."""
    began = time.perf_counter()
    work()
    return (time.perf_counter() - began) * 1000


def home(number: int) -> HandoverFacts:
    """The model home with names that no other home of this run has, so that no round lives on the words of the last."""
    facts = samples.kelp_handover()
    rooms = tuple(
        replace(
            room,
            devices=tuple(
                replace(each, name=f"{each.name} {number}/{at}") for at, each in enumerate(room.devices)
            ),
        )
        for room in facts.rooms
    )
    return replace(
        facts, rooms=rooms, home=replace(facts.home, client_name=f"{facts.home.client_name} {number}")
    )


def main() -> None:
    """Draw both sides in turn, each round another home, and print the medians and their ratio."""
    for path in FOLDER.glob("*.ttf"):
        pdfmetrics.registerFont(TTFont(f"floor {path.stem}", str(path), shapable=False))
    first = milliseconds(lambda: handover.draw(home(0), Paper.A4))
    ours, bare = [], []
    for number in range(1, ROUNDS + 1):
        facts = home(number)
        ours.append(milliseconds(lambda: handover.draw(facts, Paper.A4)))  # noqa: B023 - called at once
        steps = record(lambda: handover.draw(facts, Paper.A4))  # noqa: B023
        bare.append(milliseconds(lambda: floor(steps)))  # noqa: B023
    ratio = statistics.median(ours) / statistics.median(bare)
    print(f"first sheet of a process, fonts loaded: {first:.0f} ms")
    print(
        f"bare canvas, {len(steps)} steps, {len(floor(steps)) // 1024} kB: {statistics.median(bare):.1f} ms"
    )
    print(
        f"sheet of three pages, {len(handover.draw(facts, Paper.A4)) // 1024} kB: {statistics.median(ours):.1f} ms"
    )
    print(f"ratio {ratio:.2f}, hold {HOLD}: {'held' if ratio <= HOLD else 'NOT HELD'}")


if __name__ == "__main__":
    main()
