"""The pen that writes one PDF: lines of text, rules, boxes, figures. It knows octets and points, not sheets."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from io import BytesIO
from types import SimpleNamespace
from typing import Any

from reportlab import rl_config
from reportlab.graphics import renderPDF
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from reports.drawing import language
from reports.drawing.bidi import bare
from reports.drawing.embedding import Codes, pdf_font
from reports.drawing.filing import filed
from reports.drawing.tagging import ARTIFACT, RUNNING, Tag, Tree, text_string
from reports.drawing.telling import tell
from reports.drawing.type import BLACK, Ink, Line, Piece, Style

PRODUCER = "Sparebook"
SMALLEST_SHIFT = 0.05
THICKENING = 0.028
ARTIFACTS = (ARTIFACT, RUNNING)

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
    """Writes pages of one size from first to last. Coordinates in points from the lower left corner.

    On a sheet that reads from the right all places are mirrored, and what stands there is not: sheets are laid out as
    if they read from the left, and x is the distance from the edge at which reading begins.

    A line without a tag is a paragraph of its own; rules, boxes and figures without one are artifacts.
    """

    def __init__(self, size: tuple[float, float], about: About) -> None:
        self._file = BytesIO()
        self._far_edge = size[0] if language.mirrored() else None
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
        self._about = about
        self._tree = Tree()
        self._open: Tag | None = None

    def _describe(self, about: About) -> None:
        for name in ("title", "author", "subject"):
            setattr(self._document.info, name, bare(getattr(about, name)))
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

    def once(self, tag: Tag) -> Tag:
        """The tag itself, or a running line where it was drawn already: a table's head on the next page."""
        return RUNNING if self._tree.knows(tag) else tag

    def note(self, tag: Tag) -> None:
        """Give a tag its place in the reading order though nothing stands there: an empty cell."""
        if tag not in ARTIFACTS:
            self._tree.note(tag)

    def _under(self, tag: Tag) -> None:
        """What is drawn from now on belongs to this tag (marked content: ISO 32000-2, 14.6)."""
        if tag is self._open:
            return
        self._close()
        if tag in ARTIFACTS:
            begin = "/Artifact BMC" if tag is ARTIFACT else "/Artifact <</Type/Pagination>> BDC"
        else:
            begin = f"/{tag.kind} <</MCID {self._tree.mark(tag)}>> BDC"
        self._canvas.addLiteral(begin)
        self._open = tag

    def _close(self) -> None:
        if self._open is not None:
            self._canvas.addLiteral("EMC")
            self._open = None

    def line(self, line: Line, x: float, baseline: float, tag: Tag | None = None) -> None:
        """Set one line of text from x on."""
        if not line.pieces:
            return
        self._under(tag or Tag("P"))
        x = self._placed(x, line.width)
        parts = [_read_as(line.text)] if line.text else []
        parts += ["BT", f"1 0 0 1 {x:.2f} {baseline:.2f} Tm"]
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
        if line.text:
            parts.append("EMC")
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
        self._under(ARTIFACT)
        x, to_x = self._placed(x), self._placed(to_x)
        self._canvas.addLiteral(
            f"{_rgb(ink)} RG {thickness:.2f} w {x:.2f} {y:.2f} m {to_x:.2f} {to_y:.2f} l S",
        )

    def frame(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        thickness: float,
        ink: Ink = BLACK,
        tag: Tag = ARTIFACT,
    ) -> None:
        """The outline of a box."""
        self._under(tag)
        x = self._placed(x, width)
        self._canvas.addLiteral(
            f"{_rgb(ink)} RG {thickness:.2f} w {x:.2f} {y:.2f} {width:.2f} {height:.2f} re S"
        )

    def fill(
        self, boxes: Iterable[tuple[float, float, float, float]], ink: Ink = BLACK, alt: str = ""
    ) -> None:
        """Filled boxes (x, y, width, height) in one go; with `alt` they are a figure, and that is said for it."""
        placed = [(self._placed(x, width), y, width, height) for x, y, width, height in boxes]
        self._under(_figure(alt, placed) if alt else ARTIFACT)
        path = " ".join(f"{x:.2f} {y:.2f} {width:.2f} {height:.2f} re" for x, y, width, height in placed)
        self._canvas.addLiteral(f"{self._fill(ink)} {path} f")

    def figure(self, drawing: Any, x: float, y: float, alt: str = "") -> None:
        """A drawing with its lower left corner at (x, y). alt: what is said for it; none for mere decoration."""
        x = self._placed(x, drawing.width)
        self._under(_figure(alt, [(x, y, drawing.width, drawing.height)]) if alt else ARTIFACT)
        renderPDF.draw(drawing, self._canvas, x, y)

    def photo(self, jpeg: bytes, x: float, y: float, width: float, height: float, alt: str = "") -> None:
        """A JPEG within a box, its proportions kept. alt: what is said for it."""
        x = self._placed(x, width)
        self._under(_figure(alt, [(x, y, width, height)]) if alt else ARTIFACT)
        self._canvas.drawImage(
            ImageReader(BytesIO(jpeg)), x, y, width, height, preserveAspectRatio=True, anchor="nw"
        )

    def _placed(self, x: float, width: float = 0.0) -> float:
        """The left edge on paper of what is `width` points wide."""
        return x if self._far_edge is None else self._far_edge - x - width

    def next_page(self) -> None:
        """Close the page."""
        self._close()
        self._canvas.showPage()
        self._ink = None
        page = self._document.Pages.pages[-1]
        # ReportLab's page writes the entries that it knows by name; these two are none of them.
        page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
        page.StructParents, page.Tabs = self._tree.next_page(), "/S"

    def finish(self) -> bytes:
        """The octets of the whole file. Every page must have been closed."""
        about = self._about
        told = {name: bare(getattr(about, name)) for name in ("title", "author", "subject", "language")}
        tree = self._tree.put_into(self._document)
        tell(self._document, {**told, "tool": PRODUCER}, about.issued_at, tree)
        self._document.format = partial(filed, self._document)
        self._canvas.save()
        return self._file.getvalue()


def _figure(alt: str, boxes: Sequence[tuple[float, float, float, float]]) -> Tag:
    left, bottom = min(box[0] for box in boxes), min(box[1] for box in boxes)
    right, top = max(box[0] + box[2] for box in boxes), max(box[1] + box[3] for box in boxes)
    return Tag("Figure", alt=alt, box=(left, bottom, right, top))


def _read_as(text: str) -> str:
    """The beginning of a stretch that is read in another order than its letters stand in (ISO 32000-2, 14.9.4)."""
    return f"/Span <</ActualText{text_string(text)}>> BDC"


def _flush(parts: list[str], inner: str) -> str:
    if inner:
        parts.append(f"[{inner}]TJ".replace("[]TJ", "").strip())
    return ""


def _rgb(ink: Ink) -> str:
    return " ".join(_short(part) for part in ink)


def _short(value: float) -> str:
    text = f"{value:.2f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
