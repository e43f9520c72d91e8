"""A sheet's content as strips, one under the other, and how they fall on pages."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from reports.drawing.pen import Pen

TALLEST = 430.0
Draw = Callable[[Pen, float, float], None]


@dataclass(frozen=True, slots=True)
class Strip:
    """A piece of a page that is never cut: its height in points and how to draw it from (x, top).

    `gap` is the space above it, dropped at the head of a page. `keep` holds it on the page of the strip after it.
    `again` is repeated when a page begins with this strip: a table's head.
    """

    height: float
    draw: Draw
    gap: float = 0.0
    keep: bool = False
    again: tuple["Strip", ...] = ()


@dataclass(frozen=True, slots=True)
class Placed:
    """A strip with the height at which its top stands above the foot of the page."""

    strip: Strip
    top: float


def paginate(strips: Sequence[Strip], top: float, bottom: float) -> list[list[Placed]]:
    """The strips on pages whose content runs from `top` down to `bottom`. Always one page at least."""
    pages: list[list[Placed]] = [[]]
    at = top
    for index, strip in enumerate(strips):
        chain = _chain(strips, index)
        needed = strip.gap + (chain if chain <= top - bottom else strip.height)
        if pages[-1] and at - needed < bottom - 0.01:
            pages.append([])
            at = top
            for head in strip.again:
                pages[-1].append(Placed(head, at))
                at -= head.height
        if pages[-1]:
            at -= strip.gap
        pages[-1].append(Placed(strip, at))
        at -= strip.height
    return pages


def _chain(strips: Sequence[Strip], index: int) -> float:
    """The height of a strip and all that it must stay with."""
    height = strips[index].height
    while strips[index].keep and index + 1 < len(strips):
        index += 1
        height += strips[index].gap + strips[index].height
    return height


def height_of(strips: Sequence[Strip]) -> float:
    """The height of strips set under each other, the first one's gap left out."""
    return sum(strip.height + (strip.gap if at else 0.0) for at, strip in enumerate(strips))


def draw_all(pen: Pen, strips: Sequence[Strip], x: float, top: float) -> None:
    """Draw strips under each other from (x, top)."""
    for at, strip in enumerate(strips):
        top -= strip.gap if at else 0.0
        strip.draw(pen, x, top)
        top -= strip.height


def held(strips: Sequence[Strip]) -> list[Strip]:
    """The same strips, all kept on one page with the strip that follows."""
    return [replace(strip, keep=True) for strip in strips]


def beside(columns: Sequence[tuple[float, Sequence[Strip]]], gap: float = 0.0) -> list[Strip]:
    """Columns side by side, each as (offset from the left edge, strips): one strip that is never cut.

    Columns too tall for that are set one under the other instead, so that they may run on over pages.
    """
    height = max((height_of(strips) for _, strips in columns), default=0.0)
    if height > TALLEST:
        return [strip for _, strips in columns for strip in strips]

    def draw(pen: Pen, x: float, top: float) -> None:
        for offset, strips in columns:
            draw_all(pen, strips, x + offset, top)

    return [Strip(height, draw, gap)]
