"""The fonts: what each covers, how it shapes a run of text, and which of them a run falls back to."""

from dataclasses import dataclass
from enum import StrEnum
from functools import cache, lru_cache
from itertools import groupby
from pathlib import Path
from typing import Any

import uharfbuzz

Point = tuple[float, float]
FOLDER = Path(__file__).parent / "fonts"
FALLBACKS = (
    "NotoNaskhArabic-Regular",
    "NotoSansHebrew-Regular",
    "NotoSansDevanagari-Regular",
    "NotoSansBengali-Regular",
    "NotoSansTamil-Regular",
    "NotoSansThai-Regular",
    "NotoSansArmenian-Regular",
    "NotoSansGeorgian-Regular",
    "MTLc3m",
    "DroidSansFallback",
)
SCALES = {
    "NotoNaskhArabic-Regular": 1.08,
    "JetBrainsMono-Regular": 0.92,
    "MTLc3m": 0.94,
    "DroidSansFallback": 0.94,
}


class Family(StrEnum):
    """BOOK is read at a table, PLAIN in bad light, FIXED digit by digit."""

    BOOK = "book"
    PLAIN = "plain"
    FIXED = "fixed"


FIRST = {
    (Family.BOOK, False): ("GentiumBookPlus-Regular", "NotoSans-Regular"),
    (Family.BOOK, True): ("GentiumBookPlus-Bold", "NotoSans-Bold"),
    (Family.PLAIN, False): ("NotoSans-Regular", "GentiumBookPlus-Regular"),
    (Family.PLAIN, True): ("NotoSans-Bold", "GentiumBookPlus-Bold"),
    (Family.FIXED, False): ("JetBrainsMono-Regular", "NotoSans-Regular"),
    (Family.FIXED, True): ("JetBrainsMono-Regular", "NotoSans-Bold"),
}


@dataclass(frozen=True, slots=True)
class Glyph:
    """One placed glyph; lengths in thousandths of the type size.

    `text` is what it stands for when copied out. It is empty for marks above and below, whose letter speaks for
    them: they are drawn as outlines, so that readers of the file see whole words without gaps.
    """

    number: int
    text: str
    advance: float
    right: float = 0.0
    up: float = 0.0


class Face:
    """One font file. Read once in the life of a process."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.scale = SCALES.get(name, 1.0)
        self.source = uharfbuzz.Face(uharfbuzz.Blob.from_file_path(str(FOLDER / f"{name}.ttf")))
        self.font = uharfbuzz.Font(self.source)
        self.covers = frozenset(self.source.unicodes)
        self.per_em: float = 1000 / self.source.upem
        self._widths: dict[int, float] = {}
        fixed = name in FIRST[Family.FIXED, False][:1]
        self.features: dict[str, bool] = {"liga": False, "calt": False} if fixed else {}

    def width_of(self, number: int) -> float:
        """The glyph's own advance, before any kerning."""
        found = self._widths.get(number)
        if found is None:
            found = self._widths[number] = float(self.font.get_glyph_h_advance(number)) * self.per_em
        return found

    def shape(self, text: str, rtl: bool = False) -> tuple[Glyph, ...]:
        """The glyphs of one run in the order in which they stand on paper, left to right."""
        run = uharfbuzz.Buffer()
        run.add_str(text)
        run.guess_segment_properties()
        run.direction = "rtl" if rtl else "ltr"
        uharfbuzz.shape(self.font, run, self.features)
        placed = list(zip(run.glyph_infos, run.glyph_positions, strict=True))
        ends = _cluster_ends([info.cluster for info, _ in placed], len(text))
        glyphs: list[Glyph] = []
        for cluster, group in groupby(placed, key=lambda each: each[0].cluster):
            mates = list(group)
            meanings = _meanings(
                text[cluster : ends[cluster]], [place.x_advance != 0 for _, place in mates], rtl
            )
            glyphs.extend(
                self._glyph(info, place, meaning)
                for (info, place), meaning in zip(mates, meanings, strict=True)
            )
        return tuple(glyphs)

    def _glyph(self, info: Any, place: Any, meaning: str) -> Glyph:
        em = self.per_em
        return Glyph(info.codepoint, meaning, place.x_advance * em, place.x_offset * em, place.y_offset * em)

    def outline(self, number: int) -> str:
        """The glyph's outline as PDF path operators, in thousandths of the type size."""
        path = _Path(self.per_em)
        self.font.draw_glyph_with_pen(number, path)
        return " ".join(path.operators)


class _Path:
    """Takes an outline from the shaping library; PDF has no quadratic curves, so they become cubic ones."""

    def __init__(self, scale: float) -> None:
        self.scale = scale
        self.operators: list[str] = []
        self.at = (0.0, 0.0)

    def _add(self, operator: str, *points: Point) -> None:
        numbers = [f"{part * self.scale:.1f}" for point in points for part in point]
        self.operators.append(" ".join([*numbers, operator]))
        self.at = points[-1] if points else self.at

    def moveTo(self, point: Point) -> None:  # noqa: N802
        self._add("m", point)

    def lineTo(self, point: Point) -> None:  # noqa: N802
        self._add("l", point)

    def curveTo(self, first: Point, second: Point, end: Point) -> None:  # noqa: N802
        self._add("c", first, second, end)

    def qCurveTo(self, pull: Point, end: Point) -> None:  # noqa: N802
        (x0, y0), (x1, y1), (x2, y2) = self.at, pull, end
        first = (x0 + (x1 - x0) * 2 / 3, y0 + (y1 - y0) * 2 / 3)
        second = (x2 + (x1 - x2) * 2 / 3, y2 + (y1 - y2) * 2 / 3)
        self._add("c", first, second, end)

    def closePath(self) -> None:  # noqa: N802
        self._add("h")


def _cluster_ends(clusters: list[int], length: int) -> dict[int, int]:
    starts = sorted(set(clusters))
    return dict(zip(starts, [*starts[1:], length], strict=True))


def _meanings(part: str, spacing: list[bool], rtl: bool) -> list[str]:
    """What each glyph of a cluster stands for: the letters go one by one to the glyphs that take room, in reading
    order, the last of them takes what is over, and marks stand for nothing of their own."""
    places = [at for at, takes_room in enumerate(spacing) if takes_room] or [0]
    if rtl:
        places.reverse()
    meanings = [""] * len(spacing)
    for number, place in enumerate(places):
        meanings[place] = part[number:] if place == places[-1] else part[number : number + 1]
    return meanings


@cache
def face(name: str) -> Face:
    """The face of that name, loaded on first use."""
    return Face(name)


@cache
def order(family: Family, bold: bool) -> tuple[Face, ...]:
    """The faces to try for a style, best first."""
    return tuple(face(name) for name in (*FIRST[family, bold], *FALLBACKS))


@cache
def _all_covered() -> frozenset[int]:
    return frozenset().union(*(each.covers for each in order(Family.BOOK, False)))


def printable(char: str) -> bool:
    """Whether some face has a glyph for the character."""
    return ord(char) in _all_covered()


@lru_cache(maxsize=8192)
def split(text: str, family: Family, bold: bool) -> tuple[tuple[Face, str], ...]:
    """The text cut into runs of one face each. A stretch that the first face lacks goes whole to the first face
    that has all of it, so that one name is not mixed from two designs."""
    faces = order(family, bold)
    first = faces[0]
    if text.isascii() or all(ord(char) in first.covers for char in text):
        return ((first, text),)
    runs: list[tuple[Face, str]] = []
    for known, stretch in _stretches(text, first):
        runs.extend([(first, stretch)] if known else _fall_back(stretch, faces[1:]))
    return tuple(runs)


def _stretches(text: str, first: Face) -> list[tuple[bool, str]]:
    parts: list[tuple[bool, str]] = []
    for char in text:
        known = ord(char) in first.covers
        if parts and parts[-1][0] == known:
            parts[-1] = (known, parts[-1][1] + char)
        else:
            parts.append((known, char))
    return parts


def _fall_back(stretch: str, faces: tuple[Face, ...]) -> list[tuple[Face, str]]:
    needed = {ord(char) for char in stretch}
    for each in faces:
        if needed <= each.covers:
            return [(each, stretch)]
    runs: list[tuple[Face, str]] = []
    for char in stretch:
        found = next((each for each in faces if ord(char) in each.covers), faces[0])
        if runs and runs[-1][0] is found:
            runs[-1] = (found, runs[-1][1] + char)
        else:
            runs.append((found, char))
    return runs
