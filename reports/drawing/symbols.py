"""The code symbol of a sheet: a QR code (ISO/IEC 18004) drawn as boxes."""

import segno

from reports.drawing.language import _, mirrored
from reports.drawing.pen import Pen
from reports.drawing.strips import Strip

QUIET_MODULES = 4
HARDER_TO_LOSE = "m"


def qr_strip(content: str, size: float) -> Strip:
    """A QR code of `size` points, its quiet zone of four modules included."""
    alt = _("Code symbol, to be scanned with a camera")
    matrix = segno.make(content, error=HARDER_TO_LOSE, micro=False, boost_error=True).matrix
    across = len(matrix) + 2 * QUIET_MODULES
    module = size / across

    def draw(pen: Pen, x: float, top: float) -> None:
        boxes = []
        for row, start, run in _runs(matrix):
            before = QUIET_MODULES + start
            # The pen mirrors the place of each box on a sheet that reads from the right; the symbol must not turn.
            column = across - before - run if mirrored() else before
            down = QUIET_MODULES + row + 1
            boxes.append((x + column * module, top - down * module, run * module, module))
        pen.fill(boxes, alt=alt)

    return Strip(size, draw)


def _runs(matrix: tuple[bytearray, ...]) -> list[tuple[int, int, int]]:
    """(row, first column, length) of every unbroken run of dark modules."""
    runs = []
    for row, modules in enumerate(matrix):
        start = None
        for column, dark in enumerate([*modules, 0]):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                runs.append((row, start, column - start))
                start = None
    return runs
