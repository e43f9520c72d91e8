"""Hand-over, the mesh and its snapshots: figures without secrets, each with a picture where it says more."""

from collections.abc import Sequence
from typing import Any

from reports.drawing import figures, words
from reports.drawing.blocks import GRID, MM, paragraph, space
from reports.drawing.looks import BOOK
from reports.drawing.pen import Pen
from reports.drawing.strips import Strip, beside, held
from reports.drawing.tables import Cell
from reports.facts.handover import HandoverFacts
from reports.facts.mesh import Ceiling, Headroom, MeshFacts, RoleCounts
from reports.facts.snapshots import DayMark, SnapshotCare

SPECTRUM_HEIGHT = 20 * MM
BAR_SHARE = 0.34
BAR_HEIGHT = 2.6 * MM
LEGEND = "A square a day: dark sound, with a light heart proven by a restore, pale landed but not sound, empty none."


def figure_strip(drawing: Any, gap: float = 0.0) -> Strip:
    """A drawing as a strip."""

    def draw(pen: Pen, x: float, top: float) -> None:
        pen.figure(drawing, x, top - drawing.height)

    return Strip(drawing.height, draw, gap)


def mesh_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """Channel, identifiers, counts, headroom; the channel picture once for the home."""
    strips = BOOK.heading_strips(
        number, "The mesh in figures" if len(facts.meshes) < 2 else "The meshes in figures", width
    )
    if not facts.meshes:
        return [*strips, *paragraph("No mesh is recorded in this home.", BOOK.body, width)]
    for mesh in facts.meshes:
        strips.extend(_mesh(mesh, width))
    return [*strips, *_spectrum(facts.meshes, width)]


def _mesh(mesh: MeshFacts, width: float) -> list[Strip]:
    title = f"{mesh.code}: {mesh.purpose}" if mesh.purpose else mesh.code
    rows: list[tuple[str, Cell]] = [
        ("Channel", BOOK.value(None if mesh.channel is None else str(mesh.channel))),
        ("PAN ID", ((f"0x{mesh.pan_id:04X}", BOOK.fixed),) if mesh.pan_id is not None else BOOK.value(None)),
        ("Extended PAN ID", BOOK.identifier(mesh.extended_pan_id)),
        ("Devices by role", BOOK.value(_roles(mesh.counts))),
        ("Key mark", ((words.grouped(mesh.key_mark), BOOK.fixed),) if mesh.key_mark else BOOK.value(None)),
        ("Key sequence", BOOK.value(None if mesh.key_sequence is None else str(mesh.key_sequence))),
    ]
    half = (width - 6 * MM) / 2
    left = [*paragraph(title, BOOK.body.strong(), half), *BOOK.pairs(rows, half, across=1)]
    right = _headroom(mesh.headroom, half)
    return beside([(0.0, left), (half + 6 * MM, right)], GRID / 2)


def _roles(counts: RoleCounts | None) -> str | None:
    if counts is None:
        return None
    parts = [
        "1\u00a0head",
        words.count(counts.routers, "router"),
        words.count(counts.end_devices, "end device"),
    ]
    parts += [f"{counts.unknown}\u00a0of unrecorded role"] if counts.unknown else []
    return words.listed(parts)


def _headroom(headroom: Headroom | None, width: float) -> list[Strip]:
    if headroom is None or not headroom.ceilings:
        unknown = "Not recorded: the head radio's limits or its use are not known."
        return [*paragraph("Headroom", BOOK.body.strong(), width), *paragraph(unknown, BOOK.body, width)]
    read = (
        f", read on {words.day(headroom.read_on)}" if headroom.read_on else ", date of reading not recorded"
    )
    left = headroom.months_left
    growth = (
        "Rate of growth not recorded."
        if left is None
        else f"At the present rate full in about {left} months."
    )
    return [
        *paragraph((("Headroom", BOOK.body.strong()), (read, BOOK.body)), BOOK.body, width),
        *(strip for ceiling in headroom.ceilings for strip in _ceiling(ceiling, width)),
        *paragraph(growth + " Marks: 20\u00a0% and 10\u00a0% left.", BOOK.label, width),
    ]


def _ceiling(ceiling: Ceiling, width: float) -> list[Strip]:
    bar = figures.headroom_bar(ceiling.used, ceiling.limit, width * BAR_SHARE, BAR_HEIGHT)
    start = width * 0.27
    after = start + bar.width + 2 * MM
    shown = [
        (0.0, paragraph(words.sentence(ceiling.resource), BOOK.label, start - MM)),
        (start, [space(BOOK.label.leading / 2 - BAR_HEIGHT / 2), figure_strip(bar)]),
        (after, paragraph(_use(ceiling), BOOK.label, width - after)),
    ]
    return beside(shown)


def _use(ceiling: Ceiling) -> str:
    if ceiling.used is None and ceiling.limit is None:
        return words.NOT_RECORDED
    if ceiling.limit is None:
        return f"{ceiling.used} used, limit {words.NOT_RECORDED}"
    used = f"use {words.NOT_RECORDED}" if ceiling.used is None else str(ceiling.used)
    source = f" {ceiling.source}" if ceiling.source else ""
    return f"{used} of {ceiling.limit}{source}"


def _spectrum(meshes: Sequence[MeshFacts], width: float) -> list[Strip]:
    ours = sorted({mesh.channel for mesh in meshes if mesh.channel is not None})
    survey = next((mesh.survey for mesh in meshes if mesh.survey is not None), None)
    if survey is None:
        said = "Wi-Fi at the home: not recorded."
    elif not survey.cells:
        said = f"No Wi-Fi was heard at the home on {words.day(survey.surveyed_on)}."
    else:
        said = f"Wi-Fi heard at the home on {words.day(survey.surveyed_on)}: the pale humps, with their channel above."
    whose = "our channel" if len(ours) == 1 else "our channels"
    mine = f" Filled: {whose} {words.listed([str(each) for each in ours])}."
    drawing = figures.spectrum(survey, ours, width, SPECTRUM_HEIGHT)
    text = paragraph(said + (mine if ours else ""), BOOK.body, width)
    return [*held([figure_strip(drawing, gap=GRID)]), *text]


def snapshot_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """How the meshes are kept safe: how often, where, when last, what was promised."""
    strips = BOOK.heading_strips(number, "Snapshots: the dated copies from which a radio is replaced", width)
    if not facts.snapshots:
        return [*strips, *paragraph("No snapshot care is recorded for this home.", BOOK.body, width)]
    for care in facts.snapshots:
        strips.extend(_care(care, facts, width))
    return strips


def _care(care: SnapshotCare, facts: HandoverFacts, width: float) -> list[Strip]:
    zone = facts.issue.issued_at.tzinfo
    point, time = care.promised_point_hours, care.promised_time_minutes
    rows: list[tuple[str, Cell]] = [
        ("Taken", BOOK.value(f"every {words.hours(care.every_hours)}" if care.every_hours else None)),
        ("Kept", BOOK.value(care.kept_where)),
        ("Sealed copy lies", BOOK.value(care.sealed_copy_at)),
        ("Last sound", BOOK.value(words.moment(care.last_sound_at, zone) if care.last_sound_at else None)),
        ("Last proven", BOOK.value(words.moment(care.last_proven_at, zone) if care.last_proven_at else None)),
        (
            "Promised point",
            BOOK.value(f"recovery point at most {words.hours(point)} old" if point is not None else None),
        ),
        (
            "Promised time",
            BOOK.value(f"recovery time within {words.minutes(time)}" if time is not None else None),
        ),
    ]
    title = paragraph(care.mesh_code, BOOK.body.strong(), width)
    if not any(day.mark is not DayMark.NONE for day in care.days):
        return [*held([Strip(s.height, s.draw, GRID / 2) for s in title]), *BOOK.pairs(rows, width)]
    half = (width - 6 * MM) / 2
    left = [*title, *BOOK.pairs(rows, half, across=1)]
    right = [figure_strip(figures.calendar(care.days, half)), *paragraph(LEGEND, BOOK.label, half, gap=MM)]
    return beside([(0.0, left), (half + 6 * MM, right)], GRID / 2)
