"""The hand-over sheet: what the client keeps, in plain words, to read at a table."""

from reports.drawing import cautions, words
from reports.drawing.blocks import GRID, MM, paragraph, space, text_strip
from reports.drawing.faces import Family
from reports.drawing.handover_care import (
    agreement_section,
    batteries_section,
    duties_section,
    signing_section,
)
from reports.drawing.handover_mesh import mesh_section, snapshot_section
from reports.drawing.handover_radio import radio_section
from reports.drawing.looks import BOOK
from reports.drawing.masthead import caution_box, masthead, revision_words, stamp
from reports.drawing.sheet import Margins, Paper, column_width, write
from reports.drawing.strips import Strip
from reports.drawing.tables import Cell, Group, Table, rows_only, table
from reports.drawing.type import Style, one_line
from reports.facts.handover import Device, HandoverFacts, Room

TITLE = "Hand-over sheet"
BELOW = "What stands in this home, what goes on working without it, and whom to call."
NO_ROOM = "Room not recorded"
HEADS = ("Device", "What it does", "Power", "How to use it by hand")
HEADS_WITH_MESH = (*HEADS, "Mesh")
SHARES = (0.22, 0.31, 0.12, 0.35)
SHARES_WITH_MESH = (0.2, 0.27, 0.11, 0.28, 0.14)


def draw(facts: HandoverFacts, paper: Paper) -> bytes:
    """The sheet as a PDF. Equal facts give equal octets."""
    margins = Margins()
    width = column_width(paper, margins)
    stamped = stamp(TITLE, facts.home.code, facts)
    strips = [
        *masthead(_title(facts), stamped, width),
        *_head(facts, width),
        *_in_short(facts, width),
        caution_box(
            BOOK,
            "CAUTION",
            (
                cautions.FALL_BACKS,
                cautions.ONE_VOICE,
                cautions.NOT_SOLE,
                cautions.LICENSED,
                cautions.NO_SECRETS,
            ),
            width,
        ),
        *_installed(facts, width),
        *radio_section(2, facts, width),
        *_without_radio(facts, width),
        *_safety(facts, width),
        *_mains(facts, width),
        *mesh_section(6, facts, width),
        *snapshot_section(7, facts, width),
        *duties_section(8, facts, width),
        *agreement_section(9, facts, width),
        *batteries_section(10, facts, width),
        *signing_section(11, facts, width),
    ]
    return write(strips, paper, margins, stamped.running(BOOK), stamped.about())


def _title(facts: HandoverFacts) -> list[Strip]:
    code = Style(Family.FIXED, 22, 10 * MM)
    room = float("inf")
    return [
        text_strip(one_line(TITLE, BOOK.title), BOOK.title, room),
        text_strip(one_line(BELOW, BOOK.body), BOOK.body, room),
        text_strip(one_line(facts.home.code, code), code, room, gap=MM),
    ]


def _head(facts: HandoverFacts, width: float) -> list[Strip]:
    issued = facts.issue.issued_at
    firm, home = facts.firm, facts.home
    reading = f" ({home.client_reading})" if home.client_reading else ""
    rows: list[tuple[str, Cell]] = [
        ("Client", ((home.client_name + reading, BOOK.body.strong()),)),
        ("Place", BOOK.value(", ".join(home.place_lines) or None)),
        ("Date", BOOK.value(f"{words.weekday(issued)} ({issued.date().isoformat()}), {issued:%H:%M}")),
        ("Clock of the home", BOOK.value(f"{home.zone}, {words.offset(issued)} on that day")),
        ("Sheet", BOOK.value(facts.issue.number)),
        ("Revision", BOOK.value(revision_words(facts.issue).removeprefix("revision "))),
        ("Firm", ((firm.name, BOOK.body.strong()),)),
        ("Address", BOOK.value(", ".join(firm.address_lines) or None)),
        ("By day", BOOK.value(firm.day_phone)),
        ("By night", BOOK.value(firm.night_phone)),
        ("Hours", BOOK.value(firm.hours)),
        ("Mail", BOOK.value(firm.email)),
    ]
    return BOOK.pairs(rows, width, gap=3 * MM)


def _in_short(facts: HandoverFacts, width: float) -> list[Strip]:
    """The question that the sheet answers first: what is here, and could it be brought back."""
    rooms = sum(1 for room in facts.rooms if room.name)
    parts = [f"{_devices(facts.device_count, rooms)}, {_radios(len(facts.radios))}."]
    if facts.safety is not None:
        parts.append(
            f"{words.count(len(facts.safety), 'safety item') if facts.safety else 'No safety item'}."
        )
    zone = facts.issue.issued_at.tzinfo
    sound = [care.last_sound_at for care in facts.snapshots if care.last_sound_at is not None]
    if len(sound) == len(facts.snapshots) and sound:
        parts.append(f"Last sound snapshot {words.moment(min(sound), zone)}.")
    elif facts.snapshots:
        parts.append("A sound snapshot is missing: section 7.")
    bold = BOOK.body.strong()
    return [*paragraph(" ".join(parts), bold, width, gap=GRID * 0.75), space(GRID / 2)]


def _devices(count: int, rooms: int) -> str:
    devices = words.count(count, "device") if count else "No device is recorded"
    return f"{devices} in {words.count(rooms, 'room')}" if count and rooms else devices


def _radios(count: int) -> str:
    return f"led by {words.count(count, 'head radio')}" if count else "and no head radio"


def _installed(facts: HandoverFacts, width: float) -> list[Strip]:
    strips = BOOK.heading_strips(1, "What was installed", width)
    if not facts.device_count:
        return [*strips, *paragraph("No device is recorded besides the head radio.", BOOK.body, width)]
    kinds = [f"{number}\u00a0{kind or 'of unrecorded kind'}" for kind, number in facts.count_by_kind()]
    counted = all(mesh.counts is not None for mesh in facts.meshes) and bool(facts.meshes)
    as_many = ", as many as the node list holds" if counted else ""
    total = f"{words.count(facts.device_count, 'device')}{as_many}: {words.listed(kinds)}."
    many = len(facts.meshes) > 1
    groups = [_room_group(room, many) for room in facts.rooms if room.devices]
    content = Table(SHARES_WITH_MESH if many else SHARES, groups, HEADS_WITH_MESH if many else HEADS)
    return [*strips, *paragraph(total, BOOK.body, width), *table(content, BOOK.table, width, gap=MM)]


def _room_group(room: Room, with_mesh: bool) -> Group:
    name = room.name or NO_ROOM
    rows = [_device_row(device, with_mesh) for device in room.devices]
    return Group(f"{name} · {len(room.devices)}", rows, f"{name}, continued")


def _device_row(device: Device, with_mesh: bool) -> list[Cell]:
    row: list[Cell] = [
        device.name,
        BOOK.value(device.purpose or device.kind),
        BOOK.value(device.power),
        BOOK.value(device.by_hand),
    ]
    return [*row, BOOK.value(device.mesh_code)] if with_mesh else row


def _without_radio(facts: HandoverFacts, width: float) -> list[Strip]:
    strips = BOOK.heading_strips(3, "What works without radio, controller or internet", width)
    if facts.without_radio is None:
        return [
            *strips,
            *paragraph("Nobody has recorded yet what goes on working by itself.", BOOK.body, width),
        ]
    rows: list[list[Cell]] = [
        [((line.subject, BOOK.body.strong()),), line.what_works] for line in facts.without_radio
    ]
    return [*strips, *table(rows_only((0.2, 0.8), rows), BOOK.table, width)]


def _safety(facts: HandoverFacts, width: float) -> list[Strip]:
    strips = [*BOOK.heading_strips(4, "Safety items", width)]
    if facts.safety is None:
        return [*strips, *paragraph("The list of safety items is not recorded.", BOOK.body, width)]
    if not facts.safety:
        return [*strips, *paragraph("There are none in this home.", BOOK.body, width)]
    rows: list[list[Cell]] = []
    for item in facts.safety:
        tested = [
            part for part in (item.tested_by, words.day(item.tested_on) if item.tested_on else None) if part
        ]
        where = f" {item.name}, {item.room}" if item.room else f" {item.name}"
        named = ((f"{words.sentence(item.kind)}:", BOOK.body.strong()), (where, BOOK.body))
        fall_back, by = BOOK.value(item.fall_back), BOOK.value(", ".join(tested) or None)
        rows.append([named, fall_back, by, BOOK.value(item.result)])
    heads = ("Device", "Fall-back by hand", "Tested by", "Result")
    return [*strips, *table(rows_only((0.3, 0.24, 0.29, 0.17), rows, heads), BOOK.table, width)]


def _mains(facts: HandoverFacts, width: float) -> list[Strip]:
    strips = BOOK.heading_strips(5, "Parts on the mains: do not open, licensed people only", width)
    if facts.mains is None:
        return [
            *strips,
            *paragraph("Who installed them is not recorded.", BOOK.body, width),
        ]
    if not facts.mains:
        return [*strips, *paragraph("None was installed by us.", BOOK.body, width)]
    rows: list[list[Cell]] = [
        [
            part.what,
            BOOK.value(part.installed_by),
            BOOK.value(part.licence),
            BOOK.value(words.day(part.installed_on) if part.installed_on else None),
        ]
        for part in facts.mains
    ]
    heads = ("Part", "Installed by", "Licence", "On")
    return [
        *strips,
        *table(rows_only((0.4, 0.24, 0.18, 0.18), rows, heads), BOOK.table, width, gap=MM),
    ]
