"""The pen that writes one PDF: lines of text, rules, boxes, figures. It knows octets and points, not sheets."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from types import SimpleNamespace
from typing import Any

from reportlab import rl_config
from reportlab.graphics import renderPDF
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from reports.drawing.embedding import Codes, pdf_font
from reports.drawing.type import BLACK, Ink, Line, Piece, Style

PRODUCER = "Sparebook"
SMALLEST_SHIFT = 0.05
THICKENING = 0.028

rl_config.useA85 = 0


@dataclass(frozen=True, slots=True)
class About:
    """What the file says of itself. `digest` is hex and becomes the file's identifier."""

    title: str
    author: str
    subject: str
    language: str
    issued_at: datetime
    digest: str


class Pen:
    """Writes pages of one size from first to last. Coordinates in points from the lower left corner."""

    def __init__(self, size: tuple[float, float], about: About) -> None:
        self._file = BytesIO()
        self._canvas = Canvas(
            self._file,
            pagesize=size,
            pageCompression=1,
            invariant=1,
            pdfVersion=(1, 7),
            lang=about.language,
            initialFontName=pdf_font("NotoSans-Regular").fontName,
        )
        self._document = self._canvas._doc
        self._describe(about)
        self._codes: dict[str, Codes] = {}
        self._fonts: dict[tuple[str, float], str] = {}
        self._inner: dict[tuple[Piece, float], str] = {}
        self._ink: Ink | None = None

    def _describe(self, about: About) -> None:
        for name in ("title", "author", "subject"):
            setattr(self._document.info, name, getattr(about, name))
        self._document.info.creator = self._document.info.producer = PRODUCER
        minutes = round(
            (about.issued_at.utcoffset() or about.issued_at - about.issued_at).total_seconds() / 60
        )
        self._document._timeStamp = SimpleNamespace(
            YMDhms=about.issued_at.timetuple()[:6],
            dhh=int(minutes / 60),
            dmm=abs(minutes) % 60,
        )
        identifier = about.digest[:32].encode("ascii")
        self._document._ID = b"\n[<" + identifier + b"><" + identifier + b">]\n"

    def line(self, line: Line, x: float, baseline: float) -> None:
        """Set one line of text from x on."""
        if not line.pieces:
            return
        parts = ["BT", f"1 0 0 1 {x:.2f} {baseline:.2f} Tm"]
        font = ""
        inner = ""
        thick = False
        for piece, style in line.pieces:
            wanted = self._font(piece, style)
            if wanted != font or style.ink != self._ink or piece.thickened != thick:
                inner = _flush(parts, inner)
                parts.extend(self._change(wanted, font, style, piece.thickened, thick))
                font, thick = wanted, piece.thickened
            inner += self._shown(piece, style.size)
        _flush(parts, inner)
        parts.append("0 Tr ET" if thick else "ET")
        if any(piece.marked for piece, _ in line.pieces):
            parts.extend(self._outlines(line, x, baseline))
        self._canvas.addLiteral(" ".join(parts))

    def _outlines(self, line: Line, x: float, baseline: float) -> Iterator[str]:
        """The marks of a line, drawn as outlines over it."""
        for piece, style in line.pieces:
            scale = style.size * piece.face.scale / 1000
            for glyph, at in piece.marks():
                thickness = style.size * THICKENING / scale
                how = f"{thickness:.0f} w {_rgb(style.ink)} RG %s B" if piece.thickened else "%s f"
                yield (
                    f"q {_rgb(style.ink)} rg {scale:.5f} 0 0 {scale:.5f} {x + at * scale:.2f} "
                    f"{baseline + glyph.up * scale:.2f} cm {how % piece.face.outline(glyph.number)} Q"
                )
            x += piece.width * scale

    def _change(self, wanted: str, font: str, style: Style, thickened: bool, thick: bool) -> Iterable[str]:
        if wanted != font:
            yield wanted
        if style.ink != self._ink:
            yield self._fill(style.ink)
        if thickened:
            yield f"2 Tr {style.size * THICKENING:.3f} w {_rgb(style.ink)} RG"
        elif thick:
            yield "0 Tr"

    def _font(self, piece: Piece, style: Style) -> str:
        wanted = (piece.face.name, style.size)
        found = self._fonts.get(wanted)
        if found is None:
            name = piece.face.name
            self._codes[name] = pdf_font(name).codes(self._document)
            size = _short(style.size * piece.face.scale)
            found = self._fonts[wanted] = f"{self._document.fontMapping[name]} {size} Tf"
        return found

    def _shown(self, piece: Piece, size: float) -> str:
        """The inside of a TJ operator for the piece."""
        found = self._inner.get((piece, size))
        if found is None:
            found = self._inner[piece, size] = "".join(self._steps(piece, size)).replace("><", "")
        return found

    def _steps(self, piece: Piece, size: float) -> Iterator[str]:
        """Codes and shifts; shifts in thousandths, positive to the left as TJ has it."""
        codes = self._codes[piece.face.name]
        owed = 0.0
        for glyph in piece.glyphs:
            if not glyph.text:
                owed -= glyph.advance
                continue
            owed -= glyph.right
            if abs(owed) > SMALLEST_SHIFT:
                yield _short(owed)
                owed = 0.0
            code = codes.setdefault((glyph.number, glyph.text), len(codes) + 1)
            rise = glyph.up * size * piece.face.scale / 1000
            yield (
                f"]TJ {rise:.2f} Ts [<{code:04X}>]TJ 0 Ts ["
                if abs(rise) > SMALLEST_SHIFT
                else f"<{code:04X}>"
            )
            owed += piece.face.width_of(glyph.number) - glyph.advance + glyph.right
        if abs(owed) > SMALLEST_SHIFT:
            yield _short(owed)

    def _fill(self, ink: Ink) -> str:
        self._ink = ink
        return f"{_rgb(ink)} rg"

    def rule(self, x: float, y: float, to_x: float, to_y: float, thickness: float, ink: Ink = BLACK) -> None:
        """A straight rule."""
        self._canvas.addLiteral(
            f"{_rgb(ink)} RG {thickness:.2f} w {x:.2f} {y:.2f} m {to_x:.2f} {to_y:.2f} l S",
        )

    def frame(
        self, x: float, y: float, width: float, height: float, thickness: float, ink: Ink = BLACK
    ) -> None:
        """The outline of a box."""
        self._canvas.addLiteral(
            f"{_rgb(ink)} RG {thickness:.2f} w {x:.2f} {y:.2f} {width:.2f} {height:.2f} re S"
        )

    def fill(self, boxes: Iterable[tuple[float, float, float, float]], ink: Ink = BLACK) -> None:
        """Filled boxes (x, y, width, height) in one go."""
        path = " ".join(f"{x:.2f} {y:.2f} {width:.2f} {height:.2f} re" for x, y, width, height in boxes)
        self._canvas.addLiteral(f"{self._fill(ink)} {path} f")

    def figure(self, drawing: Any, x: float, y: float) -> None:
        """A drawing with its lower left corner at (x, y)."""
        renderPDF.draw(drawing, self._canvas, x, y)

    def photo(self, jpeg: bytes, x: float, y: float, width: float, height: float) -> None:
        """A JPEG within a box, its proportions kept."""
        self._canvas.drawImage(
            ImageReader(BytesIO(jpeg)), x, y, width, height, preserveAspectRatio=True, anchor="nw"
        )

    def next_page(self) -> None:
        """Close the page."""
        self._canvas.showPage()
        self._ink = None

    def finish(self) -> bytes:
        """The octets of the whole file. Every page must have been closed."""
        self._canvas.save()
        return self._file.getvalue()


def _flush(parts: list[str], inner: str) -> str:
    if inner:
        parts.append(f"[{inner}]TJ".replace("[]TJ", "").strip())
    return ""


def _rgb(ink: Ink) -> str:
    return " ".join(_short(part) for part in ink)


def _short(value: float) -> str:
    text = f"{value:.2f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
