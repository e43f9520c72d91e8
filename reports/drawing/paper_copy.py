"""The paper copy: a sealed snapshot as codes and as lines to type, with all that is needed to open it."""

from dataclasses import replace

from reports.drawing import words
from reports.drawing.blocks import GRID, HALF, MM, paragraph, points, text_strip
from reports.drawing.looks import PLAIN
from reports.drawing.masthead import caution_box
from reports.drawing.pen import About
from reports.drawing.sheet import Margins, Paper, Running, column_width, write
from reports.drawing.strips import Strip, beside
from reports.drawing.symbols import qr_strip
from reports.drawing.type import Style, one_line
from reports.facts.fingerprint import short_form
from reports.facts.paper_copy import PaperCopyFacts
from reports.paper import opening

TITLE = "Paper copy"
KEEP = "KEEP THIS AS YOU KEEP THE KEYS OF THE HOUSE"
MARGINS = Margins(left=18 * MM, right=13 * MM, top=8 * MM, bottom=7 * MM)
CODES_ACROSS = 3
CODE_GAP = 2 * MM
LINE_COLUMNS = 2
LINE_STYLE = Style(PLAIN.fixed.family, 7.2, 3.2 * MM)
CAPTION = Style(PLAIN.fixed.family, 7.5, GRID)
FORMAT_STYLE = Style(PLAIN.body.family, 7.4, 3.2 * MM)
CAUTIONS = (
    "It holds the keys of the network that locks, heating and alarms obey, sealed by a passphrase that is not on it. "
    "Keep the two apart.",
    "One identity, one voice: the old radio must be off, with its battery out, before the new one is powered.",
    "Agree a way to do without locks, heating and alarms first; test each by hand afterwards.",
    "Never write the number in the snapshot, and never use a number twice: say which attempt it is when you open it.",
    "Mains work, ladders and gas: licensed people only. Local codes override this sheet.",
)
STEPS = (
    "Photograph or scan the codes, straight and sharp. One of them may be lost. With Sparebook at hand: "
    "manage.py paper-restore PHOTOS... --out FILE. It asks for the passphrase.",
    f"Without it: let any reader of QR codes (ISO/IEC 18004) save their texts, one a line, and run the one file "
    f"opening.py ({opening.NAME}, format {opening.VERSION}; Python 3.11, package cryptography). The format is below, "
    "so that the file can be written anew.",
    "Without a camera: type the numbered lines. Capitals do not matter, O is 0, I and L are 1; a line with a "
    "mistake is named.",
)


def draw(facts: PaperCopyFacts, paper: Paper) -> bytes:
    """The paper copy as a PDF. Equal facts give equal octets."""
    width = column_width(paper, MARGINS)
    strips = [
        *_head(facts, width),
        replace(caution_box(PLAIN, KEEP, CAUTIONS, width), gap=HALF),
        *PLAIN.heading_strips(1, "How it is opened", width),
        *points(STEPS, PLAIN.body, width),
        *PLAIN.heading_strips(2, f"The codes: {len(facts.codes)}, of which one may be lost", width),
        *_codes(facts, width),
        *PLAIN.heading_strips(3, f"The same to type: {len(facts.lines)} lines, as a last resort", width),
        *_lines(facts, width),
        *PLAIN.heading_strips(4, f"{opening.NAME}, format {opening.VERSION}", width),
        *_format(width),
    ]
    return write(strips, paper, MARGINS, _running(facts), _about(facts))


def _head(facts: PaperCopyFacts, width: float) -> list[Strip]:
    code = Style(PLAIN.fixed.family, PLAIN.title.size, PLAIN.title.leading)
    made, taken = facts.made_at, facts.taken_at
    said = (
        f"Snapshot of {words.day(taken.date())}, {taken:%H:%M} ({words.offset(taken)}), {facts.devices} devices. "
        f"Printed {words.day(made.date())} ({made.date().isoformat()}) by {facts.firm.name}. "
        "A newer snapshot, or a change of the network key, makes this paper useless: destroy it then."
    )
    return [
        *paragraph(((f"{TITLE} ", PLAIN.title), (facts.mesh_code, code)), PLAIN.title, width),
        *paragraph(said, PLAIN.body, width, gap=HALF),
    ]


def _codes(facts: PaperCopyFacts, width: float) -> list[Strip]:
    side = (width - CODE_GAP * (CODES_ACROSS - 1)) / CODES_ACROSS
    strips: list[Strip] = []
    for at in range(0, len(facts.codes), CODES_ACROSS):
        columns = [
            (place * (side + CODE_GAP), _code(text, side))
            for place, text in enumerate(facts.codes[at : at + CODES_ACROSS])
        ]
        strips += beside(columns, gap=CODE_GAP)
    return strips


def _code(text: str, side: float) -> list[Strip]:
    _, name, number, count, _ = text.split("/", 4)
    which = "parity" if number == opening.PARITY else f"{number} of {count}"
    caption = one_line(f"{name}  {which}", CAPTION)
    return [text_strip(caption, CAPTION, side), qr_strip(text, side)]


def _lines(facts: PaperCopyFacts, width: float) -> list[Strip]:
    across = (width - HALF) / LINE_COLUMNS
    half = -(-len(facts.lines) // LINE_COLUMNS)
    strips: list[Strip] = []
    for at in range(half):
        columns = [
            (
                place * (across + HALF),
                [text_strip(one_line(facts.lines[number], LINE_STYLE), LINE_STYLE, across)],
            )
            for place in range(LINE_COLUMNS)
            if (number := at + place * half) < len(facts.lines)
        ]
        strips += beside(columns)
    return strips


def _format(width: float) -> list[Strip]:
    """The description that stands in the opening file itself, so that the two can never differ."""
    description = (opening.__doc__ or "").split("Format 1", 1)[1]
    strips: list[Strip] = []
    for part in _parts(description):
        strips += paragraph(part, FORMAT_STYLE, width)
    return strips


def _parts(description: str) -> list[str]:
    """Each entry of the description as one paragraph; a new entry is indented less than what goes on."""
    parts: list[str] = []
    for line in description.strip("\n").splitlines():
        if line.startswith("    ") and parts:
            parts[-1] += f" {line.strip()}"
        elif line.strip():
            parts.append(line.strip())
    return parts


def _running(facts: PaperCopyFacts) -> Running:
    return Running(
        head_left=f"{facts.firm.name} · {TITLE}",
        head_right=facts.mesh_code,
        foot_left=f"printed {facts.made_at:%Y-%m-%d}",
        foot_middle=f"digest {short_form(facts.digest)}",
        family=PLAIN.body.family,
    )


def _about(facts: PaperCopyFacts) -> About:
    return About(
        title=f"{TITLE} · {facts.mesh_code}",
        author=facts.firm.name,
        subject=f"{TITLE} of {facts.mesh_code}",
        language=facts.home.language,
        issued_at=facts.made_at,
        digest=facts.digest,
    )
