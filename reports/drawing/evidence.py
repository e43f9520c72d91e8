"""The evidence pack: what can be shown of one home over a stretch of days, and plainly what cannot."""

from reports.drawing import words
from reports.drawing.blocks import MM, paragraph, points
from reports.drawing.evidence_annex import annex_section, carers_section, papers_section
from reports.drawing.evidence_mesh import mesh_sections
from reports.drawing.evidence_words import lack_words
from reports.drawing.faces import Family
from reports.drawing.items import firm_name
from reports.drawing.language import _, isolated, later, many, speaking
from reports.drawing.looks import BOOK
from reports.drawing.masthead import QR_SIZE, masthead, revision_words, stamp
from reports.drawing.sheet import Margins, Paper, column_width, write
from reports.drawing.strips import Strip
from reports.drawing.tables import Cell, rows_only, table
from reports.drawing.type import Style
from reports.facts.evidence import EvidenceFacts, Promise

TITLE = later("Evidence pack")
LARGE = Style(Family.BOOK, 12, 6 * MM, bold=True)


def draw(facts: EvidenceFacts, paper: Paper) -> bytes:
    """The pack as a PDF. Equal facts give equal octets."""
    with speaking(facts.home.language):
        return _draw(facts, paper)


def _draw(facts: EvidenceFacts, paper: Paper) -> bytes:
    margins = Margins()
    width = column_width(paper, margins)
    stamped = stamp(_(TITLE), facts.home.code, facts)
    meshes = mesh_sections(4, facts, width)
    after = 4 + len(facts.meshes)
    strips = [
        *masthead(_title(facts, width - QR_SIZE), stamped, width),
        *_head(facts, width),
        *_promises(1, facts, width),
        *carers_section(2, facts, width),
        *_not_shown(3, facts, width),
        *meshes,
        *papers_section(after, facts, width),
        *annex_section(after + 1, facts, width),
    ]
    return write(strips, paper, margins, stamped.running(BOOK), stamped.about())


def _title(facts: EvidenceFacts, width: float) -> list[Strip]:
    code = Style(Family.FIXED, BOOK.title.size - 3, BOOK.title.leading)
    period = _("{first} to {last}").format(first=words.day(facts.first), last=words.day(facts.last))
    return [
        *paragraph(((f"{_(TITLE)} ", BOOK.title), (isolated(facts.home.code), code)), BOOK.title, width),
        *paragraph(period, LARGE, width),
        *paragraph(_in_short(facts), BOOK.body.strong(), width, gap=MM),
    ]


def _in_short(facts: EvidenceFacts) -> str:
    """Days with a sound copy, drills, what is not shown."""
    meshes = facts.meshes
    if not meshes:
        return _("No mesh of this home is in the book, so nothing can be shown of its copies.")
    most = max(sum(month.days_without for month in mesh.months) for mesh in meshes)
    covered = facts.day_count - most
    days = (
        many(
            "Sound copies were taken on {covered} of {n} day.",
            "Sound copies were taken on {covered} of {n} days.",
            facts.day_count,
        )
        if len(meshes) == 1
        else many(
            "Of every mesh, sound copies were taken on {covered} of {n} day or more.",
            "Of every mesh, sound copies were taken on {covered} of {n} days or more.",
            facts.day_count,
        )
    )
    drills = [drill for mesh in meshes for drill in mesh.drills if drill.kind != "paper"]
    passed = sum(drill.passed for drill in drills)
    tried = (
        words.counted(
            many("{passed} of {n} drill passed.", "{passed} of {n} drills passed.", len(drills)),
            len(drills),
            passed=words.number(passed),
        )
        if drills
        else _("No drill was held on the bench or in the home.")
    )
    shown = words.counted(days, facts.day_count, covered=words.number(covered))
    return " ".join((shown, tried, _("What is not shown stands in section 3.")))


def _head(facts: EvidenceFacts, width: float) -> list[Strip]:
    issued, home, firm = facts.issue.issued_at, facts.home, facts.firm
    date = _("{weekday} ({date}), {time}").format(
        weekday=words.weekday(issued), date=issued.date().isoformat(), time=words.clock(issued)
    )
    rows: list[tuple[str, Cell]] = [
        (_("Client"), ((home.client_name, BOOK.body.strong()),)),
        (_("Place"), BOOK.value(words.commas(home.place_lines) or None)),
        (_("Clock of the home"), BOOK.value(words.commas([home.zone, words.offset(issued)]))),
        (_("Issued"), BOOK.value(date)),
        (_("Sheet"), BOOK.value(words.commas([facts.issue.number, revision_words(facts.issue)]))),
        (_("Firm"), ((firm_name(firm), BOOK.body.strong()),)),
        (_("Address"), BOOK.value(words.commas(firm.address_lines) or None)),
        (_("By day"), BOOK.value(firm.day_phone)),
        (_("Mail"), BOOK.value(firm.email)),
        (_("Days shown"), BOOK.value(words.number(facts.day_count))),
    ]
    return BOOK.pairs(rows, width, gap=2 * MM)


def _promises(number: int, facts: EvidenceFacts, width: float) -> list[Strip]:
    head = BOOK.heading_strips(number, _("What was promised"), width)
    if not facts.promises:
        return [*head, *paragraph(_("No care agreement ran in these days."), BOOK.body, width)]
    heads = (
        _("Agreement"),
        _("Newest sound copy at most"),
        _("Back within"),
        _("Drill every"),
        _("Hours covered"),
    )
    rows = [_promise(each) for each in facts.promises]
    return [*head, *table(rows_only((0.34, 0.2, 0.14, 0.14, 0.18), rows, heads), BOOK.table, width)]


def _promise(each: Promise) -> list[Cell]:
    first = words.day(each.starts_on)
    runs = (
        _("{first} to {last}").format(first=first, last=words.day(each.ends_on))
        if each.ends_on
        else _("from {first}, without an end").format(first=first)
    )
    notice = words.counted(
        many("notice {n} day before", "notice {n} days before", each.notice_days), each.notice_days
    )
    every = words.counted(many("{n} day", "{n} days", each.drill_every_days), each.drill_every_days)
    return [
        words.commas([runs, notice]),
        _("{age} old").format(age=words.hours(each.point_hours)),
        words.minutes(each.time_minutes),
        every,
        BOOK.value(each.hours_covered),
    ]


def _not_shown(number: int, facts: EvidenceFacts, width: float) -> list[Strip]:
    """Before what is shown, so that nobody has to look for it."""
    head = BOOK.heading_strips(number, _("What this pack does not show, and why"), width)
    return [*head, *points([lack_words(each) for each in facts.not_shown], BOOK.body, width, mark="–")]
