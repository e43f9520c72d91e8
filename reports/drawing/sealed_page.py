"""The sealed page: the keys and codes of one mesh, for an envelope of its own. The only paper that shows any."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

from fleet.mesh.install_codes import link_key_of, show_install_code, show_key
from reports.drawing import cautions, words
from reports.drawing.blocks import HALF, MM, paragraph
from reports.drawing.items import firm_name
from reports.drawing.language import _, isolated, later, speaking, tag
from reports.drawing.looks import PLAIN
from reports.drawing.masthead import caution_box
from reports.drawing.pen import About
from reports.drawing.sheet import Margins, Paper, Running, column_width, write
from reports.drawing.strips import Strip
from reports.drawing.tables import Cell, Group, Look, Table, rows_only, table
from reports.drawing.type import Style
from reports.facts.sealed_page import Held, SealedPageFacts

TITLE = later("Sealed page")
KEEP = later("THE KEYS OF THIS HOUSE STAND ON THIS PAGE")
CAUTIONS = (
    later(
        "Whoever holds it can command locks, heating and alarms from the street. It is for the owner and the office of "
        "the firm, and for whoever brings this mesh back on their word; nobody else reads or copies it."
    ),
    later(
        "Keep it alone in a closed envelope, signed across the flap, apart from the passphrase, the recovery sheet and "
        "the paper copy. Take no photograph; send it by no mail. Once printed, delete the file."
    ),
    later(
        "Was it opened, lost or seen? Change the network key, make a new page and destroy this one. An install code "
        "cannot be changed: it stays with its device for life."
    ),
)
SHARES = (0.24, 0.19, 0.17, 0.4)
HEADS = (later("Device"), later("Address"), later("What"), later("Digits, in groups of four"))
OPENED_HEADS = (later("Opened on"), later("By whom"), later("In whose presence"), later("Why"))
OPENED_SHARES = (0.16, 0.24, 0.24, 0.36)
OPENED_ROWS = 3
DIGITS = Style(PLAIN.fixed.family, 8, PLAIN.table.body.leading)
BIG_DIGITS = Style(PLAIN.fixed.family, 11, PLAIN.table.body.leading)
DENSE: Look = replace(PLAIN.table, body=replace(PLAIN.table.body, size=8.4), pad=0.5 * MM)
ROOMY: Look = replace(PLAIN.table, pad=4 * MM)


def draw(facts: SealedPageFacts, paper: Paper, identifier: str) -> bytes:
    """The page as a PDF in clear, to be encrypted. identifier: hex digits by which the file is told from others."""
    with speaking(facts.home.language):
        margins = Margins()
        width = column_width(paper, margins)
        strips = [
            *_head(facts, width),
            replace(caution_box(PLAIN, _(KEEP), _cautions(), width), gap=HALF),
            *PLAIN.heading_strips(1, _("The network key"), width),
            *_network_key(facts, width),
            *PLAIN.heading_strips(2, _("Keys and codes of devices"), width),
            *_devices(facts, width),
            *PLAIN.heading_strips(3, _("When the envelope was opened"), width),
            *_opened(width),
        ]
        return write(strips, paper, margins, _running(facts), _about(facts, identifier))


def _cautions() -> tuple[str, ...]:
    return (*map(_, CAUTIONS), _(cautions.FALL_BACKS), _(cautions.ONE_VOICE), _(cautions.LICENSED))


def _head(facts: SealedPageFacts, width: float) -> list[Strip]:
    code = Style(PLAIN.fixed.family, PLAIN.title.size, PLAIN.title.leading)
    taken, made = facts.taken_at, facts.made_at
    said = _("From the copy of {taken}, {time}. Made on {made} by {firm}.").format(
        taken=words.day(taken.date()),
        time=f"{taken:%H:%M} ({words.offset(taken)})",
        made=words.day(made.date()),
        firm=firm_name(facts.firm),
    )
    return [
        *paragraph(((f"{_(TITLE)} ", PLAIN.title), (isolated(facts.mesh_code), code)), PLAIN.title, width),
        *paragraph(said, PLAIN.body, width, gap=HALF),
        *paragraph(_worth(facts), PLAIN.body.strong(), width, gap=HALF),
    ]


def _worth(facts: SealedPageFacts) -> str:
    """Since when the key is known, and that a change ends its worth."""
    history = facts.history
    told = _("After the next change of the network key this page is worth nothing; destroy it then.")
    if history.last_before is None:
        known = _("No change of the network key is on record; the first copy under it is of {day}.").format(
            day=words.day(history.first_seen)
        )
    else:
        known = _("The last change of the network key was between {before} and {day}.").format(
            before=words.day(history.last_before), day=words.day(history.first_seen)
        )
    return f"{known} {told}"


def _network_key(facts: SealedPageFacts, width: float) -> list[Strip]:
    rows: list[tuple[str, Cell]] = [
        (_("Network key"), _digits(facts.network_key, BIG_DIGITS)),
        (_("Key sequence number"), ((str(facts.key_sequence), PLAIN.fixed),)),
        (_("Mark of the key in the book"), ((facts.mark, PLAIN.fixed),)),
    ]
    if facts.link_key_seed:
        rows.append((_("Seed of the link keys"), _digits(facts.link_key_seed, BIG_DIGITS)))
    return PLAIN.pairs(rows, width, across=1)


def _devices(facts: SealedPageFacts, width: float) -> list[Strip]:
    strips = []
    if facts.devices:
        groups = [
            Group(room or _("Room not recorded"), [row for each in held for row in _rows(each)])
            for room, held in groupby(facts.devices, key=lambda each: each.room)
        ]
        strips = table(Table(SHARES, groups, tuple(map(_, HEADS))), DENSE, width)
    if facts.without or not facts.devices:
        rest = _("Devices without a key or code of their own in the copy or the book: {number}.")
        strips += paragraph(rest.format(number=facts.without), PLAIN.body, width, gap=HALF)
    return strips


def _rows(device: Held) -> Sequence[Sequence[Cell]]:
    """A row for each secret, the device named in each, so that a row read alone still says whose it is."""
    told: list[tuple[str, Cell]] = []
    if device.link_key:
        told.append((_("link key"), _digits(device.link_key, DIGITS)))
    if device.install_code:
        told.append((_("install code"), ((_unbroken(show_install_code(device.install_code)), DIGITS),)))
    if device.install_code and not device.link_key:
        told.append((_("its key"), _digits(link_key_of(device.install_code), DIGITS)))
    if device.damaged:
        told.append((_("install code"), _("held, but damaged: read its label")))
    address = ((words.grouped(device.address), DIGITS),)
    return [(device.name, address, what, digits) for what, digits in told]


def _digits(key: bytes, style: Style) -> Cell:
    return ((_unbroken(show_key(key)), style),)


def _unbroken(digits: str) -> str:
    return digits.replace(" ", "\u00a0")


def _opened(width: float) -> list[Strip]:
    rows = [("", "", "", "")] * OPENED_ROWS
    return table(rows_only(OPENED_SHARES, rows, tuple(map(_, OPENED_HEADS))), ROOMY, width)


def _running(facts: SealedPageFacts) -> Running:
    return Running(
        head_left=f"{isolated(firm_name(facts.firm))} · {_(TITLE)}",
        head_right=facts.mesh_code,
        foot_left=f"{facts.made_at:%Y-%m-%d}",
        foot_middle="",
        family=PLAIN.body.family,
    )


def _about(facts: SealedPageFacts, identifier: str) -> About:
    title = f"{_(TITLE)} · {facts.mesh_code}"
    return About(
        title=title,
        author=firm_name(facts.firm),
        subject=title,
        language=tag(),
        issued_at=facts.made_at,
        digest=identifier,
    )
