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
from reports.drawing.items import firm_name, named_item
from reports.drawing.language import _, later, many, speaking
from reports.drawing.looks import BOOK
from reports.drawing.masthead import caution_box, masthead, stamp
from reports.drawing.saying import said
from reports.drawing.sheet import Margins, Paper, column_width, write
from reports.drawing.strips import Strip
from reports.drawing.tables import Cell, Group, Table, rows_only, table
from reports.drawing.type import Style, one_line
from reports.facts.fixed import Text
from reports.facts.handover import Device, HandoverFacts, Room

TITLE = later("Hand-over sheet")
BELOW = later("What stands in this home, what goes on working without it, and whom to call.")
NO_ROOM = later("Room not recorded")
HEADS = (later("Device"), later("What it does"), later("Power"), later("How to use it by hand"))
HEADS_WITH_MESH = (*HEADS, later("Mesh"))
SHARES = (0.22, 0.31, 0.12, 0.35)
SHARES_WITH_MESH = (0.2, 0.27, 0.11, 0.28, 0.14)


def draw(facts: HandoverFacts, paper: Paper) -> bytes:
    """The sheet as a PDF, in the language of the home. Equal facts give equal octets."""
    with speaking(facts.home.language):
        return _drawn(facts, paper)


def _drawn(facts: HandoverFacts, paper: Paper) -> bytes:
    margins = Margins()
    width = column_width(paper, margins)
    stamped = stamp(_(TITLE), facts.home.code, facts)
    strips = [
        *masthead(_title(facts), stamped, width),
        *_head(facts, width),
        *_in_short(facts, width),
        caution_box(
            BOOK,
            _("CAUTION"),
            (
                _(cautions.FALL_BACKS),
                _(cautions.ONE_VOICE),
                _(cautions.NOT_SOLE),
                _(cautions.LICENSED),
                _(cautions.NO_SECRETS),
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
        text_strip(one_line(_(TITLE), BOOK.title), BOOK.title, room),
        text_strip(one_line(_(BELOW), BOOK.body), BOOK.body, room),
        text_strip(one_line(facts.home.code, code), code, room, gap=MM),
    ]


def _head(facts: HandoverFacts, width: float) -> list[Strip]:
    issued = facts.issue.issued_at
    firm, home = facts.firm, facts.home
    name = _("{name} ({reading})") if home.client_reading else "{name}"
    client = name.format(name=home.client_name, reading=home.client_reading)
    date = _("{weekday} ({date}), {time}").format(
        weekday=words.weekday(issued), date=issued.date().isoformat(), time=words.clock(issued)
    )
    zone = _("{zone}, {offset} on that day").format(zone=home.zone, offset=words.offset(issued))
    rows: list[tuple[str, Cell]] = [
        (_("Client"), ((client, BOOK.body.strong()),)),
        (_("Place"), BOOK.value(words.commas(home.place_lines) or None)),
        (_("Date"), BOOK.value(date)),
        (_("Clock of the home"), BOOK.value(zone)),
        (_("Sheet"), BOOK.value(facts.issue.number)),
        (_("Revision"), BOOK.value(_revision(facts))),
        (_("Firm"), ((firm_name(firm), BOOK.body.strong()),)),
        (_("Address"), BOOK.value(words.commas(firm.address_lines) or None)),
        (_("By day"), BOOK.value(firm.day_phone)),
        (_("By night"), BOOK.value(firm.night_phone)),
        (_("Hours"), BOOK.value(firm.hours)),
        (_("Mail"), BOOK.value(firm.email)),
    ]
    return BOOK.pairs(rows, width, gap=3 * MM)


def _revision(facts: HandoverFacts) -> str:
    issue = facts.issue
    told = _("{number}, replaces revision {before}") if issue.replaces else "{number}"
    return told.format(number=issue.revision, before=issue.replaces)


def _in_short(facts: HandoverFacts, width: float) -> list[Strip]:
    """The question that the sheet answers first: what is here, and could it be brought back."""
    rooms = sum(1 for room in facts.rooms if room.name)
    parts = [_devices(facts.device_count, rooms, len(facts.radios))]
    if facts.safety is not None:
        items = len(facts.safety)
        counted = words.counted(many("{n} safety item.", "{n} safety items.", items), items)
        parts.append(counted if items else _("No safety item."))
    zone = facts.issue.issued_at.tzinfo
    sound = [care.last_sound_at for care in facts.snapshots if care.last_sound_at is not None]
    if len(sound) == len(facts.snapshots) and sound:
        parts.append(_("Last sound snapshot {moment}.").format(moment=words.moment(min(sound), zone)))
    elif facts.snapshots:
        parts.append(_("A sound snapshot is missing: section {number}.").format(number=7))
    bold = BOOK.body.strong()
    return [*paragraph(" ".join(parts), bold, width, gap=GRID * 0.75), space(GRID / 2)]


def _devices(count: int, rooms: int, radios: int) -> str:
    """31 devices in 7 rooms, led by 1 head radio."""
    devices = _counted_devices(count) if count else _("No device is recorded")
    if count and rooms:
        within = words.counted(
            many("{devices} in {n} room", "{devices} in {n} rooms", rooms), rooms, devices=devices
        )
    else:
        within = devices
    if not radios:
        return _("{devices}, and no head radio.").format(devices=within)
    led = many("{devices}, led by {n} head radio.", "{devices}, led by {n} head radios.", radios)
    return words.counted(led, radios, devices=within)


def _counted_devices(count: int) -> str:
    return words.counted(many("{n} device", "{n} devices", count), count)


def _installed(facts: HandoverFacts, width: float) -> list[Strip]:
    strips = BOOK.heading_strips(1, _("What was installed"), width)
    if not facts.device_count:
        return [*strips, *paragraph(_("No device is recorded besides the head radio."), BOOK.body, width)]
    kinds = [_kind(kind, number) for kind, number in facts.count_by_kind()]
    counted = all(mesh.counts is not None for mesh in facts.meshes) and bool(facts.meshes)
    told = _("{devices}, as many as the node list holds: {kinds}.") if counted else _("{devices}: {kinds}.")
    total = told.format(devices=_counted_devices(facts.device_count), kinds=words.listed(kinds))
    several = len(facts.meshes) > 1
    groups = [_room_group(room, several) for room in facts.rooms if room.devices]
    heads = tuple(map(_, HEADS_WITH_MESH if several else HEADS))
    content = Table(SHARES_WITH_MESH if several else SHARES, groups, heads)
    return [*strips, *paragraph(total, BOOK.body, width), *table(content, BOOK.table, width, gap=MM)]


def _kind(kind: Text | None, number: int) -> str:
    name = said(kind) if kind else _("of unrecorded kind")
    return words.counted(_("{n} {kind}"), number, kind=name)


def _room_group(room: Room, with_mesh: bool) -> Group:
    name = room.name or _(NO_ROOM)
    rows = [_device_row(device, with_mesh) for device in room.devices]
    counted = _("{name} · {number}").format(name=name, number=len(room.devices))
    return Group(counted, rows, _("{name}, continued").format(name=name))


def _device_row(device: Device, with_mesh: bool) -> list[Cell]:
    row: list[Cell] = [
        device.name,
        BOOK.value(device.purpose or device.kind),
        BOOK.value(device.power),
        BOOK.value(device.by_hand),
    ]
    return [*row, BOOK.value(device.mesh_code)] if with_mesh else row


def _without_radio(facts: HandoverFacts, width: float) -> list[Strip]:
    strips = BOOK.heading_strips(3, _("What works without radio, controller or internet"), width)
    if facts.without_radio is None:
        return [
            *strips,
            *paragraph(_("Nobody has recorded yet what goes on working by itself."), BOOK.body, width),
        ]
    rows: list[list[Cell]] = [
        [((_subject(line.subject), BOOK.body.strong()),), line.what_works] for line in facts.without_radio
    ]
    return [*strips, *table(rows_only((0.2, 0.8), rows), BOOK.table, width)]


def _subject(subject: Text | tuple[Text, ...]) -> str:
    return words.commas([said(part) for part in subject]) if isinstance(subject, tuple) else said(subject)


def _safety(facts: HandoverFacts, width: float) -> list[Strip]:
    strips = [*BOOK.heading_strips(4, _("Safety items"), width)]
    if facts.safety is None:
        return [*strips, *paragraph(_("The list of safety items is not recorded."), BOOK.body, width)]
    if not facts.safety:
        return [*strips, *paragraph(_("There are none in this home."), BOOK.body, width)]
    rows: list[list[Cell]] = []
    for item in facts.safety:
        tested = [
            part for part in (item.tested_by, words.day(item.tested_on) if item.tested_on else None) if part
        ]
        fall_back, by = BOOK.value(item.fall_back), BOOK.value(words.commas(tested) or None)
        rows.append([named_item(item, BOOK), fall_back, by, BOOK.value(item.result)])
    heads = (_("Device"), _("Fall-back by hand"), _("Tested by"), _("Result"))
    return [*strips, *table(rows_only((0.3, 0.24, 0.29, 0.17), rows, heads), BOOK.table, width)]


def _mains(facts: HandoverFacts, width: float) -> list[Strip]:
    strips = BOOK.heading_strips(5, _("Parts on the mains: do not open, licensed people only"), width)
    if facts.mains is None:
        return [
            *strips,
            *paragraph(_("Who installed them is not recorded."), BOOK.body, width),
        ]
    if not facts.mains:
        return [*strips, *paragraph(_("None was installed by us."), BOOK.body, width)]
    rows: list[list[Cell]] = [
        [
            part.what,
            BOOK.value(part.installed_by),
            BOOK.value(part.licence),
            BOOK.value(words.day(part.installed_on) if part.installed_on else None),
        ]
        for part in facts.mains
    ]
    heads = (_("Part"), _("Installed by"), _("Licence"), _("On"))
    return [
        *strips,
        *table(rows_only((0.4, 0.24, 0.18, 0.18), rows, heads), BOOK.table, width, gap=MM),
    ]
