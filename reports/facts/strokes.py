"""A signature drawn with finger, pen or mouse: strokes of points in a box of 1000 by 400, y from the top.

One stroke is a flat list of whole numbers, x and y in turn: [[120, 80, 131, 85, ...], ...].
"""

import json
from typing import Any

WIDTH, HEIGHT = 1000, 400
MOST_STROKES, MOST_POINTS, MOST_LETTERS = 80, 4000, 60_000
LEAST_POINTS = 8
Strokes = tuple[tuple[int, ...], ...]


class StrokesError(ValueError):
    """What came is no drawing; the sentence says what would be right."""


def read_strokes(text: str) -> Strokes:
    """The strokes in a JSON text, every one of them within the box. Raises StrokesError."""
    if len(text) > MOST_LETTERS:
        raise StrokesError(
            f"drawing: {len(text)} characters; at most {MOST_LETTERS} are taken. Draw it simpler."
        )
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        raise StrokesError("drawing: it is not JSON; right is a list of strokes.") from None
    if not isinstance(found, list) or len(found) > MOST_STROKES:
        raise StrokesError(f"drawing: right is a list of at most {MOST_STROKES} strokes.")
    strokes = tuple(_stroke(each) for each in found)
    points = sum(len(stroke) for stroke in strokes) // 2
    if not LEAST_POINTS <= points <= MOST_POINTS:
        raise StrokesError(
            f"drawing: {points} points; right is {LEAST_POINTS} to {MOST_POINTS}. Draw your name, "
            "or clear the drawing: your typed name then counts."
        )
    return strokes


def _stroke(found: Any) -> tuple[int, ...]:
    if not isinstance(found, list) or len(found) < 2 or len(found) % 2:
        raise StrokesError("drawing: right is x and y in turn for each point of a stroke.")
    for place, number in enumerate(found):
        most = HEIGHT if place % 2 else WIDTH
        if type(number) is not int or not 0 <= number <= most:
            raise StrokesError(f"drawing: a point lies outside; right are whole numbers from 0 to {most}.")
    return tuple(found)
