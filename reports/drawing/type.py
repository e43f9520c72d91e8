"""Text set in lines: styles, words, breaking, and the order of mixed directions."""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby

from reports.drawing import bidi, faces, language
from reports.drawing.cleaning import clean
from reports.drawing.faces import Face, Family, Glyph

Ink = tuple[float, float, float]
BLACK: Ink = (0.0, 0.0, 0.0)
SPACE = " "
HYPHEN = "-"
WIDE = "\u2e80-\u303f\u3040-\u30ff\u3400-\u4dbf\u4e00-\u9fff\uf900-\ufaff\uff00-\uffef\U00020000-\U0003ffff"
NOT_AT_START = "、。，．)],.:;!?%…‥〜・：；？！ー）］｝」』】〕〉》ぁぃぅぇぉっゃゅょァィゥェォッャュョ々〻"
NOT_AT_END = "（［｛「『【〔〈《"
BREAK_IN_WIDE = re.compile(
    f"(?<=[{WIDE}])(?<![{NOT_AT_END}])(?=[^{re.escape(NOT_AT_START)}])|(?<=[A-Za-z)/])(?=[{WIDE}])(?=[^{re.escape(NOT_AT_START)}])"
)


@dataclass(frozen=True, slots=True)
class Style:
    """How a stretch of text looks. Size and leading in points. `level`: 1 the title, 2 a section's head, 0 text."""

    family: Family
    size: float
    leading: float
    bold: bool = False
    ink: Ink = BLACK
    level: int = 0

    def strong(self) -> "Style":
        return replace(self, bold=True)

    def in_ink(self, ink: Ink) -> "Style":
        return replace(self, ink=ink)


Spans = tuple[tuple[str, Style], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """Glyphs of one face; width in thousandths of the size. `thickened`: the style is bold, the face has no bold.
    `marked`: some of the glyphs are marks, drawn as outlines."""

    face: Face
    glyphs: tuple[Glyph, ...]
    width: float
    thickened: bool = False
    marked: bool = False

    def marks(self) -> Iterator[tuple[Glyph, float]]:
        """Glyphs to draw as outlines, each with its place from the left edge of the piece, in thousandths."""
        at = 0.0
        for glyph in self.glyphs:
            if not glyph.text:
                yield glyph, at + glyph.right
            at += glyph.advance


@dataclass(frozen=True, slots=True)
class Line:
    """One line ready to draw, left to right. `rtl`: its paragraph reads from the right. Width in points.

    `text`: its text in the order of reading, where that is not left to right throughout.
    """

    pieces: tuple[tuple[Piece, Style], ...]
    width: float
    rtl: bool = False
    text: str = ""

    @property
    def far(self) -> bool:
        """Whether it stands at the right of its column on a sheet that reads from the left."""
        return self.rtl and not language.mirrored()


@dataclass(frozen=True, slots=True)
class _Word:
    """What is not broken. `levels` are those of its letters, `gap` that of the space before it."""

    text: str
    style: Style
    width: float
    spaced: bool
    levels: tuple[int, ...] = ()
    gap: int = 0


def width_of(text: str, style: Style) -> float:
    """The width of one unbroken text in points."""
    seen = bidi.bare(_cleaned(text))
    return _width(seen, *_look(style)) * style.size / 1000 if seen else 0.0


def set_lines(spans: Spans, width: float) -> list[Line]:
    """The text broken into lines of at most `width` points. Words that are too long are cut between letters."""
    words = [word for text, style in spans for word in _words(language.standing(text), style)]
    if not words:
        return []
    whole = "".join(word.text for word in words)
    mixed = bidi.has_rtl(whole)
    rtl = mixed and (language.mirrored() or bidi.reads_rtl(whole))
    rows = _break(_levelled(words, rtl) if mixed else _bared(words), width)
    return [_mixed_line(row, rtl) if mixed else _plain_line(row) for row in rows]


def one_line(text: str, style: Style) -> Line:
    """The text on a single line, however long."""
    return next(iter(set_lines(((text, style),), float("inf"))), Line((), 0.0))


@lru_cache(maxsize=4096)
def _cleaned(text: str) -> str:
    return clean(text, faces.printable)


@lru_cache(maxsize=16384)
def _width(text: str, family: Family, bold: bool) -> float:
    return sum(piece.width * piece.face.scale for piece in _pieces(text, family, bold, bidi.has_rtl(text)))


def _look(style: Style) -> tuple[Family, bool]:
    return style.family, style.bold


@lru_cache(maxsize=8192)
def _pieces(text: str, family: Family, bold: bool, rtl: bool = False) -> tuple[Piece, ...]:
    made = []
    for face, part in faces.split(text, family, bold):
        glyphs = face.shape(part, rtl)
        thick = bold and "Bold" not in face.name
        extent = sum(glyph.advance for glyph in glyphs)
        made.append(Piece(face, glyphs, extent, thick, any(not glyph.text for glyph in glyphs)))
    return tuple(reversed(made) if rtl else made)


@lru_cache(maxsize=2048)
def _words(text: str, style: Style) -> tuple[_Word, ...]:
    """The words of one span. A word that starts a span without a space before it sticks to the one before."""
    found: list[_Word] = []
    cleaned = _cleaned(text)
    spaced = cleaned.startswith(SPACE)
    for chunk in cleaned.split(SPACE):
        if not chunk:
            continue
        parts = [chunk] if chunk.isascii() else BREAK_IN_WIDE.split(chunk)
        for at, part in enumerate(parts):
            found.append(_Word(part, style, width_of(part, style), at == 0 and (spaced or bool(found))))
    if found and cleaned.endswith(SPACE):
        found.append(_Word("", style, 0.0, True))
    return tuple(found)


def _break(words: list[_Word], width: float) -> list[list[_Word]]:
    rows: list[list[_Word]] = [[]]
    used = 0.0
    for word in words:
        gap = width_of(SPACE, word.style) if word.spaced and rows[-1] else 0.0
        while bidi.SOFT in word.text and used + gap + word.width > width + 0.01:
            head, rest = _hyphenated(word, width - used - gap)
            if head is None and not rows[-1]:
                break
            rows[-1:] = [[*rows[-1], head], []] if head else [rows[-1], []]
            used = gap = 0.0
            word = rest
        word = _joined(word)
        if rows[-1] and used + gap + word.width > width + 0.01:
            rows.append([])
            used = gap = 0.0
        if word.width > width:
            *full, word = _cut(word, width)
            rows[-1:] = [[*rows[-1], *full[:1]], *([part] for part in full[1:]), []]
            used = 0.0
        rows[-1].append(word)
        used += gap + word.width
    return [_trimmed(row) for row in rows if any(word.text for word in row)]


def _hyphenated(word: _Word, room: float) -> tuple[_Word | None, _Word]:
    """As much of the word as fits into the room with a hyphen, and the rest of it; nothing and all where none fits."""
    parts = word.text.split(bidi.SOFT)
    for count in range(len(parts) - 1, 0, -1):
        text = "".join(parts[:count]) + HYPHEN
        width = width_of(text, word.style)
        if width <= room + 0.01:
            rest = bidi.SOFT.join(parts[count:])
            head = _Word(text, word.style, width, word.spaced)
            return head, _Word(rest, word.style, width_of(rest, word.style), False)
    return None, word


def _joined(word: _Word) -> _Word:
    return replace(word, text=bidi.bare(word.text)) if bidi.SOFT in word.text else word


def _trimmed(row: list[_Word]) -> list[_Word]:
    while row and not row[-1].text:
        row = row[:-1]
    return row


def _cut(word: _Word, width: float) -> list[_Word]:
    parts: list[_Word] = []
    at = 0
    while at < len(word.text):
        end = at + _fitting(word.text[at:], word.style, width)
        part, levels = word.text[at:end], word.levels[at:end]
        spaced = word.spaced and not parts
        parts.append(_Word(part, word.style, width_of(part, word.style), spaced, levels, word.gap))
        at = end
    return parts


def _fitting(text: str, style: Style, width: float) -> int:
    low, high = 1, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if width_of(text[:middle], style) <= width else (low, middle - 1)
    while 1 < low < len(text) and unicodedata.category(text[low])[0] == "M":
        low -= 1
    return low


def _bared(words: list[_Word]) -> list[_Word]:
    return [replace(word, text=bidi.bare(word.text)) for word in words] if language.mirrored() else words


def _levelled(words: list[_Word], rtl: bool) -> list[_Word]:
    """The words with the levels that their paragraph gives to each letter."""
    found = bidi.levels("".join(SPACE * word.spaced + word.text for word in words), rtl)
    made: list[_Word] = []
    at = 0
    for word in words:
        gap = found[at] if word.spaced else 0
        at += word.spaced
        seen = [place for place, char in enumerate(word.text) if char not in bidi.UNSEEN]
        levels = tuple(found[at + place] for place in seen)
        made.append(replace(word, text=bidi.bare(word.text), levels=levels, gap=gap))
        at += len(word.text)
    return made


def _plain_line(row: list[_Word]) -> Line:
    pieces: list[tuple[Piece, Style]] = []
    for at, word in enumerate(row):
        if at and word.spaced:
            pieces.extend((piece, word.style) for piece in _pieces(SPACE, *_look(word.style)))
        if word.text:
            pieces.extend((piece, word.style) for piece in _pieces(word.text, *_look(word.style)))
    return Line(tuple(pieces), _extent(pieces))


def _mixed_line(row: list[_Word], rtl: bool) -> Line:
    marked: list[tuple[str, Style]] = []
    levels: list[int] = []
    for at, word in enumerate(row):
        gap = bool(at and word.spaced)
        marked.extend((char, word.style) for char in SPACE * gap + word.text)
        levels.extend((*[word.gap] * gap, *word.levels))
    pieces: list[tuple[Piece, Style]] = []
    for start, end, backwards in bidi.visual_runs(levels):
        parts = [
            (style, "".join(char for char, _ in same))
            for style, same in groupby(marked[start:end], key=lambda each: each[1])
        ]
        for style, part in reversed(parts) if backwards else parts:
            pieces.extend((piece, style) for piece in _pieces(part, *_look(style), backwards))
    text = bidi.bare("".join(char for char, _ in marked))
    return Line(tuple(pieces), _extent(pieces), rtl, text)


def _extent(pieces: list[tuple[Piece, Style]]) -> float:
    return sum(piece.width * piece.face.scale * style.size for piece, style in pieces) / 1000
