"""The job sheet: one replacement, from the office door to the signature, in black and white."""

from dataclasses import replace

from fleet.planning.replacing.preflight import Met
from reports.drawing import words
from reports.drawing.blocks import HALF, MM, paragraph
from reports.drawing.fit_words import verdict
from reports.drawing.items import firm_name
from reports.drawing.job_after import log_section, signing_section
from reports.drawing.job_before import caution_section, preflight_section
from reports.drawing.job_fit import back_out, deaf, fit_section, ledger_note, radios_section, taker_line
from reports.drawing.language import _, isolated, later, many, speaking
from reports.drawing.looks import PLAIN
from reports.drawing.masthead import QR_SIZE, masthead, revision_words, stamp
from reports.drawing.recovery_after import accept_and_after, closing, nothing_works, wake_section
from reports.drawing.recovery_before import people_section, safety_section
from reports.drawing.recovery_swap import snapshot_and_number, steps_section
from reports.drawing.sheet import Margins, Paper, column_width, write
from reports.drawing.stranded import stranded_section
from reports.drawing.strips import Strip
from reports.drawing.type import Style
from reports.facts.job import JobFacts, Way, WayBack

TITLE = later("Job sheet")
MARGINS = Margins(left=18 * MM, right=13 * MM, top=8 * MM, bottom=7 * MM)
LARGE = Style(PLAIN.body.family, 12, 5.5 * MM, bold=True)


def draw(facts: JobFacts, paper: Paper) -> bytes:
    """The sheet as a PDF. Equal facts give equal octets. Boxes 1, 2, 5, 6 and 8 to 14 are those of a recovery."""
    with speaking(facts.home.language):
        return _draw(facts, paper)


def _draw(facts: JobFacts, paper: Paper) -> bytes:
    width = column_width(paper, MARGINS)
    stamped = stamp(_(TITLE), facts.mesh.code, facts)
    steps = replace(facts, back_out=back_out(facts.way_back))
    strips = [
        *masthead(_title(facts, width - QR_SIZE), stamped, width),
        *stranded_section(facts, width),
        *caution_section(width),
        *people_section(1, facts, width),
        *safety_section(2, facts, width),
        *preflight_section(3, facts, width),
        *radios_section(4, facts, width),
        *ledger_note(facts, width),
        *snapshot_and_number(facts, width),
        *fit_section(7, facts, width),
        *steps_section(8, steps, width),
        *wake_section(9, facts, width),
        *accept_and_after(facts, width),
        *nothing_works(12, facts, width),
        *closing(facts, stamped.digest, width),
        *log_section(15, facts, width),
        *signing_section(16, width),
    ]
    return write(strips, paper, MARGINS, stamped.running(PLAIN), stamped.about())


def _title(facts: JobFacts, width: float) -> list[Strip]:
    code = Style(PLAIN.fixed.family, PLAIN.title.size, PLAIN.title.leading)
    swap = _("{new} takes over from {old}.").format(
        new=taker_line(facts.taker), old=facts.old_code or words.not_recorded()
    )
    return [
        *paragraph(((f"{_(TITLE)} ", PLAIN.title), (isolated(facts.mesh.code), code)), PLAIN.title, width),
        *paragraph(((swap, LARGE), (f" {_judged(facts)}", LARGE)), LARGE, width),
        *paragraph(_issued(facts), PLAIN.body, width - HALF),
    ]


def _judged(facts: JobFacts) -> str:
    """The verdict, the way back and what is not met, before anything else is read."""
    fit = verdict(facts.fit.verdict) if facts.fit else _("not judged")
    way = _way(facts.way_back)
    unmet = sum(each.met is Met.NO for each in facts.preflight)
    open_ones = (
        words.counted(many("{n} check is not met", "{n} checks are not met", unmet), unmet)
        if unmet
        else _("no check fails by the book")
    )
    return _("Fit: {fit}; {way}; {checks}.").format(fit=fit, way=way, checks=open_ones)


def _way(back: WayBack) -> str:
    way = {
        Way.READY: _("there is a way back"),
        Way.WRITE: _("there is a way back, with a new number"),
        Way.DEAF: _("no way back, {deaf}").format(deaf=deaf(back)),
        Way.OUT_OF_REACH: _("no way back, the old radio is out of reach"),
        Way.NO_POWER: _("no way back, the old radio takes no power"),
        Way.UNKNOWN: _("whether there is a way back is not known"),
    }[back.way]
    if back.failed and back.way in (Way.READY, Way.WRITE):
        return _("{way}, if the old radio still takes power").format(way=way)
    return way


def _issued(facts: JobFacts) -> str:
    issued = facts.issue.issued_at
    said = _("{number}, {revision}, printed {day} ({iso}) {clock}, {zone} ({offset}), {firm}, {phone}.")
    night = facts.firm.night_phone or facts.firm.day_phone
    return said.format(
        number=facts.issue.number,
        revision=revision_words(facts.issue),
        day=words.weekday(issued),
        iso=issued.date().isoformat(),
        clock=words.clock(issued),
        zone=facts.home.zone,
        offset=words.offset(issued),
        firm=firm_name(facts.firm),
        phone=words.phone(night) if night else _("number not recorded"),
    )
