"""The paper copy: a sealed snapshot as codes and as lines to type, with all that is needed to open it."""

from dataclasses import replace

from reports.drawing import words
from reports.drawing.blocks import GRID, HALF, MM, paragraph, points, text_strip
from reports.drawing.items import firm_name
from reports.drawing.language import _, isolated, later, many, speaking, tag
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

TITLE = later("Paper copy")
KEEP = later("KEEP THIS AS YOU KEEP THE KEYS OF THE HOUSE")
MARGINS = Margins(left=18 * MM, right=13 * MM, top=8 * MM, bottom=7 * MM)
CODES_ACROSS = 3
CODE_GAP = 2 * MM
LINE_COLUMNS = 2
LINE_STYLE = Style(PLAIN.fixed.family, 7.2, 3.2 * MM)
CAPTION = Style(PLAIN.fixed.family, 7.5, GRID)
FORMAT_STYLE = Style(PLAIN.body.family, 7.4, 3.2 * MM)
CAUTIONS = (
    later(
        "It holds the keys of the network that locks, heating and alarms obey, sealed by a passphrase that is not on "
        "it. Keep the two apart."
    ),
    later(
        "One identity, one voice: the old radio must be off, with its battery out, before the new one is powered."
    ),
    later("Agree a way to do without locks, heating and alarms first; test each by hand afterwards."),
    later(
        "Never write the number in the snapshot, and never use a number twice: say which attempt it is when you open "
        "it."
    ),
    later("Mains work, ladders and gas: licensed people only. Local codes override this sheet."),
)
STEPS = (
    later(
        "Photograph or scan the codes, straight and sharp. One of them may be lost. With Sparebook at hand: {command}. "
        "It asks for the passphrase."
    ),
    later(
        "Without it: let any reader of QR codes (ISO/IEC 18004) save their texts, one a line, and run the one file "
        "opening.py ({name}, format {version}; Python 3.11, package cryptography). The format is below, so that the "
        "file can be written anew."
    ),
    later(
        "Without a camera: type the numbered lines. Capitals do not matter, O is 0, I and L are 1; a line with a "
        "mistake is named."
    ),
)
COMMAND = "manage.py paper-restore PHOTOS... --out FILE"


def draw(facts: PaperCopyFacts, paper: Paper) -> bytes:
    """The paper copy as a PDF, in the language of the home. Equal facts give equal octets."""
    with speaking(facts.home.language):
        return _drawn(facts, paper)


def _drawn(facts: PaperCopyFacts, paper: Paper) -> bytes:
    width = column_width(paper, MARGINS)
    codes, lines = len(facts.codes), len(facts.lines)
    to_scan = _("The codes: {n}, of which one may be lost")
    to_type = many(
        "The same to type: {n} line, as a last resort", "The same to type: {n} lines, as a last resort", lines
    )
    form = _("{name}, format {version}").format(name=opening.NAME, version=opening.VERSION)
    strips = [
        *_head(facts, width),
        replace(caution_box(PLAIN, _(KEEP), tuple(map(_, CAUTIONS)), width), gap=HALF),
        *PLAIN.heading_strips(1, _("How it is opened"), width),
        *points(_steps(), PLAIN.body, width),
        *PLAIN.heading_strips(2, words.counted(to_scan, codes), width),
        *_codes(facts, width),
        *PLAIN.heading_strips(3, words.counted(to_type, lines), width),
        *_lines(facts, width),
        *PLAIN.heading_strips(4, form, width),
        *_format(width),
    ]
    return write(strips, paper, MARGINS, _running(facts), _about(facts))


def _head(facts: PaperCopyFacts, width: float) -> list[Strip]:
    code = Style(PLAIN.fixed.family, PLAIN.title.size, PLAIN.title.leading)
    made, taken = facts.made_at, facts.taken_at
    copied = many(
        "Snapshot of {day}, {time} ({offset}), {n} device.",
        "Snapshot of {day}, {time} ({offset}), {n} devices.",
        facts.devices,
    )
    printed = _("Printed {day} ({date}) by {firm}.").format(
        day=words.day(made.date()), date=made.date().isoformat(), firm=firm_name(facts.firm)
    )
    useless = _(
        "A newer snapshot, or a change of the network key, makes this paper useless: destroy it then."
    )
    day, time, offset = words.day(taken.date()), words.clock(taken), words.offset(taken)
    of = words.counted(copied, facts.devices, day=day, time=time, offset=offset)
    return [
        *paragraph(((f"{_(TITLE)} ", PLAIN.title), (isolated(facts.mesh_code), code)), PLAIN.title, width),
        *paragraph(" ".join((of, printed, useless)), PLAIN.body, width, gap=HALF),
    ]


def _steps() -> list[str]:
    values = {"command": COMMAND, "name": opening.NAME, "version": opening.VERSION}
    return [_(step).format(**values) for step in STEPS]


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
    name, number, count = text.split("/", 4)[1:4]
    which = _("parity")
    if number != opening.PARITY:
        which = _("{number} of {count}").format(number=number, count=count)
    caption = one_line(f"{isolated(name)}  {which}", CAPTION)
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
        head_left=f"{isolated(firm_name(facts.firm))} · {_(TITLE)}",
        head_right=facts.mesh_code,
        foot_left=_("printed {date}").format(date=facts.made_at.date().isoformat()),
        foot_middle=_("digest {digits}").format(digits=short_form(facts.digest)),
        family=PLAIN.body.family,
    )


def _about(facts: PaperCopyFacts) -> About:
    return About(
        title=f"{_(TITLE)} · {facts.mesh_code}",
        author=firm_name(facts.firm),
        subject=_("{title} of {code}").format(title=_(TITLE), code=facts.mesh_code),
        language=tag(),
        issued_at=facts.made_at,
        digest=facts.digest,
    )
