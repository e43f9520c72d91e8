"""Hand-over, the mesh and its snapshots: figures without secrets, each with a picture where it says more."""

from collections.abc import Sequence
from typing import Any

from reports.drawing import figures, words
from reports.drawing.blocks import GRID, MM, paragraph, space
from reports.drawing.language import _, later, many
from reports.drawing.looks import BOOK
from reports.drawing.pen import Pen
from reports.drawing.saying import said
from reports.drawing.strips import Strip, beside, held
from reports.drawing.tables import Cell
from reports.facts.handover import HandoverFacts
from reports.facts.mesh import Ceiling, Headroom, MeshFacts, RoleCounts
from reports.facts.snapshots import DayMark, SnapshotCare

SPECTRUM_HEIGHT = 20 * MM
BAR_SHARE = 0.34
BAR_HEIGHT = 2.6 * MM
LEGEND = later(
    "A square a day: dark sound, with a light heart proven by a restore, pale landed but not sound, empty none."
)


def figure_strip(drawing: Any, gap: float = 0.0, alt: str = "") -> Strip:
    """A drawing as a strip. alt: what is read out for it; none where the figures beside it say the same."""

    def draw(pen: Pen, x: float, top: float) -> None:
        pen.figure(drawing, x, top - drawing.height, alt)

    return Strip(drawing.height, draw, gap)


def mesh_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """Channel, identifiers, counts, headroom; the channel picture once for the home."""
    strips = BOOK.heading_strips(
        number, _("The mesh in figures") if len(facts.meshes) < 2 else _("The meshes in figures"), width
    )
    if not facts.meshes:
        return [*strips, *paragraph(_("No mesh is recorded in this home."), BOOK.body, width)]
    for mesh in facts.meshes:
        strips.extend(_mesh(mesh, width))
    return [*strips, *_spectrum(facts.meshes, width)]


def _mesh(mesh: MeshFacts, width: float) -> list[Strip]:
    title = _("{code}: {purpose}").format(code=mesh.code, purpose=mesh.purpose) if mesh.purpose else mesh.code
    rows: list[tuple[str, Cell]] = [
        (_("Channel"), BOOK.value(None if mesh.channel is None else str(mesh.channel))),
        (
            _("PAN ID"),
            ((f"0x{mesh.pan_id:04X}", BOOK.fixed),) if mesh.pan_id is not None else BOOK.value(None),
        ),
        (_("Extended PAN ID"), BOOK.identifier(mesh.extended_pan_id)),
        (_("Devices by role"), BOOK.value(_roles(mesh.counts))),
        (_("Key mark"), ((words.grouped(mesh.key_mark), BOOK.fixed),) if mesh.key_mark else BOOK.value(None)),
        (_("Key sequence"), BOOK.value(None if mesh.key_sequence is None else str(mesh.key_sequence))),
    ]
    half = (width - 6 * MM) / 2
    left = [*paragraph(title, BOOK.body.strong(), half), *BOOK.pairs(rows, half, across=1)]
    right = _headroom(mesh.headroom, half)
    return beside([(0.0, left), (half + 6 * MM, right)], GRID / 2)


def _roles(counts: RoleCounts | None) -> str | None:
    if counts is None:
        return None
    routers, ends = counts.routers, counts.end_devices
    parts = [
        words.counted(_("{n} head"), 1),
        words.counted(many("{n} router", "{n} routers", routers), routers),
        words.counted(many("{n} end device", "{n} end devices", ends), ends),
    ]
    parts += [words.counted(_("{n} of unrecorded role"), counts.unknown)] if counts.unknown else []
    return words.listed(parts)


def _headroom(headroom: Headroom | None, width: float) -> list[Strip]:
    if headroom is None or not headroom.ceilings:
        unknown = _("Not recorded: the head radio's limits or its use are not known.")
        return [*paragraph(_("Headroom"), BOOK.body.strong(), width), *paragraph(unknown, BOOK.body, width)]
    if headroom.read_on:
        read = _(", read on {day}").format(day=words.day(headroom.read_on))
    else:
        read = _(", date of reading not recorded")
    left = headroom.months_left
    if left is None:
        growth = _("Rate of growth not recorded.")
    else:
        growth = _("At the present rate full in about {months} months.").format(months=words.number(left))
    return [
        *paragraph(((_("Headroom"), BOOK.body.strong()), (read, BOOK.body)), BOOK.body, width),
        *(strip for ceiling in headroom.ceilings for strip in _ceiling(ceiling, width)),
        *paragraph(" ".join((growth, _marks())), BOOK.label, width),
    ]


def _ceiling(ceiling: Ceiling, width: float) -> list[Strip]:
    bar = figures.headroom_bar(ceiling.used, ceiling.limit, width * BAR_SHARE, BAR_HEIGHT)
    start = width * 0.27
    after = start + bar.width + 2 * MM
    shown = [
        (0.0, paragraph(words.sentence(said(ceiling.resource)), BOOK.label, start - MM)),
        (start, [space(BOOK.label.leading / 2 - BAR_HEIGHT / 2), figure_strip(bar)]),
        (after, paragraph(_use(ceiling), BOOK.label, width - after)),
    ]
    return beside(shown)


def _use(ceiling: Ceiling) -> str:
    if ceiling.used is None and ceiling.limit is None:
        return words.not_recorded()
    if ceiling.limit is None:
        return _("{used} used, limit not recorded").format(used=ceiling.used)
    if ceiling.used is None:
        told = _("use not recorded, of {limit}").format(limit=ceiling.limit)
    else:
        told = _("{used} of {limit}").format(used=ceiling.used, limit=ceiling.limit)
    return _("{use} {source}").format(use=told, source=said(ceiling.source)) if ceiling.source else told


def _spectrum(meshes: Sequence[MeshFacts], width: float) -> list[Strip]:
    ours = sorted({mesh.channel for mesh in meshes if mesh.channel is not None})
    survey = next((mesh.survey for mesh in meshes if mesh.survey is not None), None)
    if survey is None:
        told = _("Wi-Fi at the home: not recorded.")
    elif not survey.cells:
        told = _("No Wi-Fi was heard at the home on {day}.").format(day=words.day(survey.surveyed_on))
    else:
        heard = _("Wi-Fi heard at the home on {day}: the pale humps, with their channel above.")
        told = heard.format(day=words.day(survey.surveyed_on))
    filled = many("Filled: our channel {channels}.", "Filled: our channels {channels}.", len(ours))
    mine = " " + filled.format(channels=words.listed([str(each) for each in ours]))
    drawing = figures.spectrum(survey, ours, width, SPECTRUM_HEIGHT)
    seen = told + (mine if ours else "")
    return [*held([figure_strip(drawing, GRID, alt=seen)]), *paragraph(seen, BOOK.body, width)]


def snapshot_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """How the meshes are kept safe: how often, where, when last, what was promised."""
    strips = BOOK.heading_strips(
        number, _("Snapshots: the dated copies from which a radio is replaced"), width
    )
    if not facts.snapshots:
        return [*strips, *paragraph(_("No snapshot care is recorded for this home."), BOOK.body, width)]
    for care in facts.snapshots:
        strips.extend(_care(care, facts, width))
    return strips


def _care(care: SnapshotCare, facts: HandoverFacts, width: float) -> list[Strip]:
    zone = facts.issue.issued_at.tzinfo
    point, time = care.promised_point_hours, care.promised_time_minutes
    rows: list[tuple[str, Cell]] = [
        (_("Taken"), BOOK.value(_taken(care.every_hours))),
        (_("Kept"), BOOK.value(care.kept_where)),
        (_("Sealed copy lies"), BOOK.value(care.sealed_copy_at)),
        (_("Last sound"), BOOK.value(words.moment(care.last_sound_at, zone) if care.last_sound_at else None)),
        (
            _("Last proven"),
            BOOK.value(words.moment(care.last_proven_at, zone) if care.last_proven_at else None),
        ),
        (_("Promised point"), BOOK.value(None if point is None else _point(point))),
        (_("Promised time"), BOOK.value(None if time is None else _time(time))),
    ]
    title = paragraph(care.mesh_code, BOOK.body.strong(), width)
    if not any(day.mark is not DayMark.NONE for day in care.days):
        return [*held([Strip(s.height, s.draw, GRID / 2) for s in title]), *BOOK.pairs(rows, width)]
    half = (width - 6 * MM) / 2
    left = [*title, *BOOK.pairs(rows, half, across=1)]
    right = [
        figure_strip(figures.calendar(care.days, half), alt=_(LEGEND)),
        *paragraph(_(LEGEND), BOOK.label, half, gap=MM),
    ]
    return beside([(0.0, left), (half + 6 * MM, right)], GRID / 2)


def _taken(every_hours: int | None) -> str | None:
    if not every_hours:
        return None
    return _("every {time}").format(time=words.hours(every_hours))


def _point(hours: int) -> str:
    return _("recovery point at most {time} old").format(time=words.hours(hours))


def _time(minutes: int) -> str:
    return _("recovery time within {time}").format(time=words.minutes(minutes))


def _marks() -> str:
    return _("Marks: {first} and {second} left.").format(first=words.percent(20), second=words.percent(10))
