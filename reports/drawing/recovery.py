"""The recovery sheet: for a technician who has never been here, in bad light, in black and white."""

from reports.drawing import words
from reports.drawing.blocks import HALF, MM, paragraph
from reports.drawing.looks import PLAIN
from reports.drawing.masthead import QR_SIZE, masthead, revision_words, stamp
from reports.drawing.recovery_after import accept_and_after, closing, nothing_works, wake_section
from reports.drawing.recovery_before import checks_section, people_section, safety_section
from reports.drawing.recovery_swap import caution_section, radio_section, snapshot_and_number, steps_section
from reports.drawing.sheet import Margins, Paper, column_width, write
from reports.drawing.strips import Strip
from reports.drawing.type import Style
from reports.facts.recovery import RecoveryFacts

TITLE = "Recovery sheet"
BELOW = "Read boxes 1 to 3 before you touch anything."
MARGINS = Margins(left=18 * MM, right=13 * MM, top=8 * MM, bottom=7 * MM)


def draw(facts: RecoveryFacts, paper: Paper) -> bytes:
    """The sheet as a PDF. Equal facts give equal octets. Two pages for a usual home; longer lists run on."""
    width = column_width(paper, MARGINS)
    stamped = stamp(TITLE, facts.mesh.code, facts)
    strips = [
        *masthead(_title(facts, width - QR_SIZE), stamped, width),
        *people_section(1, facts, width),
        *safety_section(2, facts, width),
        *checks_section(3, facts, width),
        *radio_section(4, facts, width),
        *snapshot_and_number(facts, width),
        *caution_section(width),
        *steps_section(8, facts, width),
        *wake_section(9, facts, width),
        *accept_and_after(facts, width),
        *nothing_works(12, facts, width),
        *closing(facts, stamped.digest, width),
    ]
    return write(strips, paper, MARGINS, stamped.running(PLAIN), stamped.about())


def _title(facts: RecoveryFacts, width: float) -> list[Strip]:
    code = Style(PLAIN.fixed.family, PLAIN.title.size, PLAIN.title.leading)
    large = Style(PLAIN.body.family, 13, 6 * MM, bold=True)
    firm = facts.firm
    night = (
        f"At night call {words.phone(firm.night_phone)}" if firm.night_phone else "Night number not recorded"
    )
    day = f", by day {words.phone(firm.day_phone)}" if firm.day_phone else ""
    call = ((night, large), (f" {firm.name}{day}", PLAIN.body))
    return [
        *paragraph(((f"{TITLE} ", PLAIN.title), (facts.mesh.code, code)), PLAIN.title, width),
        *paragraph(call, large, width),
        *paragraph(f"{BELOW} {_issued(facts)}", PLAIN.body, width - HALF),
    ]


def _issued(facts: RecoveryFacts) -> str:
    issued = facts.issue.issued_at
    valid = f"valid to {words.day(facts.valid_to)}" if facts.valid_to else "last day of validity not recorded"
    return (
        f"{facts.issue.number}, {revision_words(facts.issue)}, printed {words.weekday(issued)} "
        f"({issued.date().isoformat()}) {issued:%H:%M}, {facts.home.zone} ({words.offset(issued)}), {valid}."
    )
