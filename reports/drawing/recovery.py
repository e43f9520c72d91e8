"""The recovery sheet: for a technician who has never been here, in bad light, in black and white."""

from reports.drawing import words
from reports.drawing.blocks import HALF, MM, paragraph
from reports.drawing.items import firm_name
from reports.drawing.language import _, isolated, later, speaking
from reports.drawing.looks import PLAIN
from reports.drawing.masthead import QR_SIZE, masthead, revision_words, stamp
from reports.drawing.recovery_after import accept_and_after, closing, nothing_works, wake_section
from reports.drawing.recovery_before import checks_section, people_section, safety_section
from reports.drawing.recovery_swap import caution_section, radio_section, snapshot_and_number, steps_section
from reports.drawing.sheet import Margins, Paper, column_width, write
from reports.drawing.stranded import stranded_section
from reports.drawing.strips import Strip
from reports.drawing.type import Style
from reports.facts.recovery import RecoveryFacts

TITLE = later("Recovery sheet")
BELOW = later("Read boxes 1 to 3 before you touch anything.")
MARGINS = Margins(left=18 * MM, right=13 * MM, top=8 * MM, bottom=7 * MM)


def draw(facts: RecoveryFacts, paper: Paper) -> bytes:
    """The sheet as a PDF, in the language of the home. Equal facts give equal octets.

    Two pages for a usual home; longer lists run on.
    """
    with speaking(facts.home.language):
        return _drawn(facts, paper)


def _drawn(facts: RecoveryFacts, paper: Paper) -> bytes:
    width = column_width(paper, MARGINS)
    stamped = stamp(_(TITLE), facts.mesh.code, facts)
    strips = [
        *masthead(_title(facts, width - QR_SIZE), stamped, width),
        *stranded_section(facts, width),
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
    if firm.night_phone:
        night = _("At night call {phone}").format(phone=words.phone(firm.night_phone))
    else:
        night = _("Night number not recorded")
    told = _("{firm}, by day {phone}") if firm.day_phone else "{firm}"
    day = told.format(firm=firm_name(firm), phone=words.phone(firm.day_phone or ""))
    call = ((night, large), (f" {isolated(day)}", PLAIN.body))
    return [
        *paragraph(((f"{_(TITLE)} ", PLAIN.title), (isolated(facts.mesh.code), code)), PLAIN.title, width),
        *paragraph(call, large, width),
        *paragraph(f"{_(BELOW)} {_issued(facts)}", PLAIN.body, width - HALF),
    ]


def _issued(facts: RecoveryFacts) -> str:
    issued = facts.issue.issued_at
    told = _("{number}, {revision}, printed {weekday} ({date}) {time}, {zone} ({offset}), {valid}.")
    return told.format(
        number=facts.issue.number,
        revision=revision_words(facts.issue),
        weekday=words.weekday(issued),
        date=issued.date().isoformat(),
        time=words.clock(issued),
        zone=facts.home.zone,
        offset=words.offset(issued),
        valid=_valid(facts),
    )


def _valid(facts: RecoveryFacts) -> str:
    if facts.valid_to is None:
        return _("last day of validity not recorded")
    return _("valid to {day}").format(day=words.day(facts.valid_to))
