"""Evidence of one mesh: radios, copies with their calendar and gaps, drills, what was given out, readiness."""

from reports.drawing import charts, figures, words
from reports.drawing.blocks import GRID, MM, paragraph, points, space
from reports.drawing.evidence_words import DRILLS, ENDED, GIVEN, SWAPPED, by
from reports.drawing.handover_mesh import LEGEND, figure_strip
from reports.drawing.language import _, many
from reports.drawing.looks import BOOK
from reports.drawing.state_words import legend, state_name
from reports.drawing.strips import Strip, beside, held
from reports.drawing.tables import Cell, rows_only, table
from reports.facts.evidence import (
    EvidenceFacts,
    Gap,
    InService,
    MeshEvidence,
    MonthOfCopies,
    Rehearsed,
    Swapped,
)

COURSE_HEIGHT = 15 * MM
CALENDAR_SHARE = 0.44
GAP = 6 * MM


def mesh_sections(number: int, facts: EvidenceFacts, width: float) -> list[Strip]:
    """A section for each mesh."""
    strips: list[Strip] = []
    for at, mesh in enumerate(facts.meshes):
        title = _("Mesh {code}").format(code=mesh.code)
        strips += [
            *BOOK.heading_strips(number + at, title, width),
            *held(paragraph(mesh.purpose or "", BOOK.body, width)),
            *_service(mesh, width),
            *_copies(mesh, width),
            *_gaps(mesh, width),
            *_drills(mesh, width),
            *_swaps(mesh, width),
            *_given(mesh, width),
            *_epochs(mesh, width),
            *_readiness(mesh, width),
        ]
    return strips


def _part(title: str, width: float) -> list[Strip]:
    return held(paragraph(title, BOOK.body.strong(), width, gap=GRID * 0.75))


def _service(mesh: MeshEvidence, width: float) -> list[Strip]:
    head = _part(_("Radios that led it"), width)
    if not mesh.service:
        return [*head, *paragraph(_("None is recorded for these days."), BOOK.body, width)]
    heads = (_("Radio"), _("Carried address"), _("Build on the day of issue"), _("In service"))
    rows = [_radio(each) for each in mesh.service]
    return [
        *head,
        *table(rows_only((0.27, 0.24, 0.15, 0.34), rows, heads), BOOK.table, width),
        *_builds(mesh, width),
    ]


def _radio(each: InService) -> list[Cell]:
    since = words.day(each.since)
    if each.until is None:
        served = _("since {day}").format(day=since)
    else:
        served = _("{first} to {last}").format(first=since, last=words.day(each.until))
        if each.why_ended:
            served = words.commas([served, _(ENDED[each.why_ended])])
    unit = _("{model}, serial {serial}").format(model=each.model, serial=each.serial)
    return [unit, BOOK.identifier(each.address), BOOK.value(each.firmware), served]


def _builds(mesh: MeshEvidence, width: float) -> list[Strip]:
    if not mesh.builds:
        return []
    seen = [
        _("{version} on {day}").format(version=each.version, day=words.day(each.first))
        if each.first == each.last
        else _("{version} from {first} to {last}").format(
            version=each.version, first=words.day(each.first), last=words.day(each.last)
        )
        for each in mesh.builds
    ]
    text = _("Builds that drills noted: {builds}.").format(builds=words.semicolons(seen))
    return paragraph(text, BOOK.body, width, gap=MM)


def _copies(mesh: MeshEvidence, width: float) -> list[Strip]:
    head = _part(_("Dated copies, by the day they were taken"), width)
    if not mesh.days:
        return [*head, *paragraph(_("None was taken in these days."), BOOK.body, width)]
    heads = (
        _("Month"),
        _("Proven"),
        _("Seen live"),
        _("Sound"),
        _("Not sound"),
        _("Days without"),
    )
    left = width * (1 - CALENDAR_SHARE) - GAP
    right = width * CALENDAR_SHARE
    rows = [_month(each) for each in mesh.months]
    counts = table(rows_only((0.3, 0.13, 0.13, 0.13, 0.14, 0.17), rows, heads), BOOK.table, left)
    drawing = figures.calendar(mesh.days, right, cell=BOOK.body.leading + BOOK.table.pad - 1.2)
    first = counts[0].height - 8  # the calendar's own line of numbers
    picture = [
        space(max(0.0, first)),
        figure_strip(drawing, alt=_(LEGEND)),
        *paragraph(_(LEGEND), BOOK.label, right, gap=MM),
        *_erased(mesh, right),
    ]
    return [*head, *beside([(0.0, counts), (left + GAP, picture)])]


def _month(each: MonthOfCopies) -> list[Cell]:
    counts = (each.proven, each.seen_live, each.sound, each.not_sound)
    without: Cell = "–"
    if each.days_without:
        without = _("{n} of {days}").format(n=words.number(each.days_without), days=words.number(each.days))
    return [words.month(each.month), *(words.number(count) if count else "–" for count in counts), without]


def _erased(mesh: MeshEvidence, width: float) -> list[Strip]:
    gone = sum(month.erased_since for month in mesh.months)
    if not gone:
        return []
    told = many(
        "Of {n} of these copies the octets were erased since by the keep rule; the dated record stays.",
        "Of {n} of these copies the octets were erased since by the keep rule; the dated records stay.",
        gone,
    )
    return paragraph(words.counted(told, gone), BOOK.label, width)


def _gaps(mesh: MeshEvidence, width: float) -> list[Strip]:
    head = _part(_("Runs of two days and more without a sound copy"), width)
    if not mesh.gaps:
        return [*head, *paragraph(_("There was none."), BOOK.body, width)]
    lines: list[str] = [words.sentence(_gap(each)) for each in mesh.gaps]
    if mesh.gaps_left_out:
        more = many("{n} more, no longer than these", "{n} more, no longer than these", mesh.gaps_left_out)
        lines.append(words.counted(more, mesh.gaps_left_out))
    return [*head, *points(lines, BOOK.body, width, mark="–")]


def _gap(each: Gap) -> str:
    days = words.counted(many("{n} day", "{n} days", each.days), each.days)
    said = _("no copy from {first} to {last}: {days}").format(
        first=words.day(each.first), last=words.day(each.last), days=days
    )
    if each.over_promise is None:
        return _("{gap}, nothing promised then").format(gap=said)
    return _("{gap}, LONGER THAN PROMISED").format(gap=said) if each.over_promise else said


def _drills(mesh: MeshEvidence, width: float) -> list[Strip]:
    head = _part(_("Drills"), width)
    if not mesh.drills:
        return [*head, *paragraph(_("None was held in these days."), BOOK.body, width)]
    heads = (_("Held"), _("Kind"), _("Result"), _("Took"), _("Spare"), _("By"))
    rows = [_drill(each) for each in mesh.drills]
    shares = (0.2, 0.2, 0.1, 0.17, 0.17, 0.16)
    return [*head, *table(rows_only(shares, rows, heads), BOOK.table, width)]


def _drill(each: Rehearsed) -> list[Cell]:
    return [
        words.moment(each.at, each.at.tzinfo),
        _(DRILLS[each.kind]),
        _("passed") if each.passed else ((_("FAILED"), BOOK.body.strong()),),
        _took(each.minutes, each.kept),
        BOOK.value(each.spare),
        BOOK.value(each.by),
    ]


def _swaps(mesh: MeshEvidence, width: float) -> list[Strip]:
    head = _part(_("Swaps of the radio"), width)
    if not mesh.swaps:
        return [*head, *paragraph(_("None was asked for or done in these days."), BOOK.body, width)]
    heads = (_("Asked for"), _("Why"), _("Radios"), _("Where it stood at the end"), _("Took"))
    rows = [_swap(each) for each in mesh.swaps]
    return [*head, *table(rows_only((0.2, 0.13, 0.26, 0.22, 0.19), rows, heads), BOOK.table, width)]


def _swap(each: Swapped) -> list[Cell]:
    radios = _("{old} by {new}").format(
        old=each.old or words.not_recorded(), new=each.new or words.not_recorded()
    )
    stood = _(SWAPPED[each.state])
    if each.accepted_at is not None and each.state in ("accepted", "closed"):
        stood = words.commas([stood, words.moment(each.accepted_at, each.accepted_at.tzinfo)])
    asked = words.moment(each.asked_at, each.asked_at.tzinfo)
    return [asked, _(ENDED[each.why]), radios, stood, _took(each.minutes, each.kept)]


def _took(minutes: int | None, kept: bool | None) -> Cell:
    if minutes is None:
        return BOOK.value(None)
    against = {True: _("as promised"), False: _("OVER THE PROMISE"), None: _("nothing promised")}[kept]
    return words.commas([words.minutes(minutes), against])


def _given(mesh: MeshEvidence, width: float) -> list[Strip]:
    head = _part(_("Given out for a radio (the numbers stay in the book)"), width)
    if not mesh.given_out:
        return [*head, *paragraph(_("Nothing was given out in these days."), BOOK.body, width)]
    rows: list[list[Cell]] = [
        [
            words.moment(each.at, each.at.tzinfo),
            _(GIVEN[each.kind]),
            BOOK.value(by(each.by) if each.by else None),
        ]
        for each in mesh.given_out
    ]
    return [
        *head,
        *table(rows_only((0.26, 0.44, 0.3), rows, (_("When"), _("What"), _("Asked by"))), BOOK.table, width),
    ]


def _epochs(mesh: MeshEvidence, width: float) -> list[Strip]:
    if not mesh.epochs:
        return []
    head = _part(_("Network keys seen (days only)"), width)
    said = [
        _("key {number}: {first} to {last}").format(
            number=words.number(at), first=words.day(each.first), last=words.day(each.last)
        )
        for at, each in enumerate(mesh.epochs, 1)
    ]
    return [*head, *paragraph(words.sentence(words.semicolons(said)) + ".", BOOK.body, width)]


def _readiness(mesh: MeshEvidence, width: float) -> list[Strip]:
    head = _part(_("Readiness, day by day: a day counts by the worst state it saw"), width)
    if not any(each.state for each in mesh.states):
        said = _("The book judged this mesh on none of these days.")
        return [*head, *paragraph(said, BOOK.body, width)]
    days = [
        _("{state}: {days}").format(
            state=state_name(each.state),
            days=words.counted(many("{n} day", "{n} days", each.days), each.days),
        )
        for each in mesh.states
    ]
    drawing = charts.course(mesh.course, width, COURSE_HEIGHT)
    said = words.sentence(words.semicolons(days)) + "."
    return [
        *head,
        *held([figure_strip(drawing, MM, alt=said), *legend(width)]),
        *paragraph(said, BOOK.body, width, gap=MM),
    ]
