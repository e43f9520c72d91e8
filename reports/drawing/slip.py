"""The signature slip: one page that says who signed which sheet, and goes with it."""

from zoneinfo import ZoneInfo

from reportlab.graphics.shapes import Drawing, PolyLine
from reportlab.lib.colors import Color

from reports.drawing import words
from reports.drawing.blocks import GRID, HALF, MM, boxed, paragraph
from reports.drawing.embedding import pdf_font
from reports.drawing.items import signed_as
from reports.drawing.language import _, isolated, speaking
from reports.drawing.looks import BOOK
from reports.drawing.masthead import QR_SIZE, QUIET
from reports.drawing.pen import About, Pen
from reports.drawing.sheet import Margins, Paper, Running, column_width, write
from reports.drawing.strips import Strip, beside
from reports.drawing.symbols import qr_strip
from reports.drawing.tables import Cell
from reports.facts.fingerprint import digest, short_form
from reports.facts.scanning import scanned_text
from reports.facts.slip import SlipFacts
from reports.facts.strokes import HEIGHT, WIDTH

INK = Color(0, 0, 0)
PAD_WIDTH = 90 * MM
DOT = 4
PLAIN_FACE = "NotoSans-Regular"


def draw(facts: SlipFacts, paper: Paper) -> bytes:
    """The slip as a PDF of one page. Equal facts give equal octets."""
    with speaking(facts.language):
        return _draw(facts, paper)


def _draw(facts: SlipFacts, paper: Paper) -> bytes:
    margins = Margins()
    width = column_width(paper, margins)
    title = _("Signature slip")
    own = digest(facts)
    revision = _("revision {number}").format(number=facts.revision)
    below = _("It belongs to sheet {number}, {revision}, and to no other revision.")
    head = [
        *paragraph(title, BOOK.title, width - QR_SIZE),
        *paragraph(below.format(number=facts.number, revision=revision), BOOK.body, width - QR_SIZE - HALF),
    ]
    short = short_form(facts.digest).replace(" ", "")
    symbol = qr_strip(scanned_text("", facts.number, short, facts.verify_at).strip(), QR_SIZE)
    strips = [
        *beside([(0.0, head), (width - QR_SIZE + QUIET, [symbol])]),
        *BOOK.pairs(_rows(facts), width, across=1, gap=GRID, label_share=0.26),
        *([_pad(facts)] if facts.strokes else []),
        *paragraph(_closing(), BOOK.body, width, gap=GRID),
    ]
    running = Running(
        title, facts.number, f"{isolated(facts.number)} · {revision}", short_form(own), BOOK.body.family
    )
    about = About(
        title=f"{title} {facts.number}",
        author=facts.name,
        subject=f"{title} {facts.number}, {revision}",
        language=facts.language,
        issued_at=facts.signed_at,
        digest=own,
    )
    return write(strips, paper, margins, running, about)


def _rows(facts: SlipFacts) -> list[tuple[str, Cell]]:
    signed = facts.signed_at.astimezone(ZoneInfo(facts.zone))
    when = f"{words.moment(signed, signed.tzinfo)} ({isolated(facts.zone)}, {isolated(words.offset(signed))})"
    how = _("drawn by hand, see below") if facts.strokes else _("name typed")
    nothing = _("nothing was named")
    return [
        (_("Signed by"), ((facts.name, BOOK.body.strong()),)),
        (_("As"), signed_as(facts.role)),
        (_("When"), when),
        (_("How"), how),
        (_("Given through"), _through(facts)),
        (_("Open defects, accepted"), facts.open_defects or nothing),
        (_("Not tested, because"), facts.not_tested or nothing),
        (_("Digest printed on the sheet"), ((short_form(facts.digest), BOOK.fixed),)),
        (_("SHA-256 of its file"), ((_eights(facts.sha256), BOOK.fixed),)),
    ]


def _through(facts: SlipFacts) -> str:
    if facts.link_for is None:
        return _("account {name}").format(name=facts.through)
    return _("link {mark}, for {name}").format(mark=facts.through, name=facts.link_for)


def _closing() -> str:
    return _(
        "Whoever has the file of the sheet can work out its SHA-256 and compare. "
        "A sheet with other digests was not signed by this."
    )


def _pad(facts: SlipFacts) -> Strip:
    """The strokes within a frame, as they were drawn."""
    scale = PAD_WIDTH / WIDTH
    height = HEIGHT * scale

    def paint(pen: Pen, x: float, top: float) -> None:
        pad = Drawing(PAD_WIDTH, height, initialFontName=pdf_font(PLAIN_FACE).fontName)
        for stroke in facts.strokes:
            # A tap is a point: drawn as a short line, it shows.
            points = [*stroke, stroke[0] + DOT, stroke[1]] if len(stroke) == 2 else list(stroke)
            flat = [
                (HEIGHT - value) * scale if place % 2 else value * scale for place, value in enumerate(points)
            ]
            pad.add(PolyLine(flat, strokeColor=INK, strokeWidth=1.2, strokeLineCap=1, strokeLineJoin=1))
        pen.figure(pad, x, top - height, alt=_("The signature as it was drawn"))

    frame = boxed([Strip(height, paint)], PAD_WIDTH + 2 * HALF)
    return Strip(frame.height, frame.draw, GRID)


def _eights(text: str) -> str:
    return " ".join(text[at : at + 8] for at in range(0, len(text), 8))
