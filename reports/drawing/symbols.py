"""The code symbol of a sheet: a QR code (ISO/IEC 18004) drawn as boxes."""

import segno

from reports.drawing.pen import Pen
from reports.drawing.strips import Strip

QUIET_MODULES = 4
HARDER_TO_LOSE = "m"


def qr_strip(content: str, size: float) -> Strip:
    """A QR code of `size` points, its quiet zone of four modules included."""
    matrix = segno.make(content, error=HARDER_TO_LOSE, micro=False, boost_error=True).matrix
    module = size / (len(matrix) + 2 * QUIET_MODULES)

    def draw(pen: Pen, x: float, top: float) -> None:
        pen.fill(
            [
                (
                    x + (QUIET_MODULES + start) * module,
                    top - (QUIET_MODULES + row + 1) * module,
                    run * module,
                    module,
                )
                for row, start, run in _runs(matrix)
            ]
        )

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
