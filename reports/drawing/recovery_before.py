"""Recovery, boxes 1 to 3: whom to call, where it is, whether people are safe, whether it is the radio at all."""

from reports.drawing import words
from reports.drawing.blocks import MM, boxed, paragraph, points
from reports.drawing.handover_radio import photo_strips
from reports.drawing.items import as_what, named_item
from reports.drawing.language import _, isolated
from reports.drawing.looks import PLAIN
from reports.drawing.saying import said
from reports.drawing.strips import Strip, beside, held
from reports.drawing.tables import Cell, Mark, rows_only, table
from reports.facts.fixed import Text
from reports.facts.head import Contact
from reports.facts.recovery import RecoveryFacts
from reports.facts.safety import SafetyItem

PHOTO = (44 * MM, 33 * MM)
TIGHT = 1.3 * MM


def people_section(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """Whom to call, how to get in, where the radio sits."""
    strong = PLAIN.body.strong()
    way = facts.way_in
    home = _("{code}: {name}").format(code=facts.home.code, name=facts.home.client_name)
    rows: list[tuple[str, Cell]] = [
        (_("Radio sits"), ((facts.radio.place, strong),) if facts.radio.place else PLAIN.value(None)),
        (_("Home"), PLAIN.value(home)),
        (_("Place"), PLAIN.value(words.commas(facts.home.place_lines) or None)),
        (_("In the house"), PLAIN.value(_contacts(facts.contacts))),
        (_("Floor"), PLAIN.value(way.floor)),
        (_("Parking"), PLAIN.value(way.parking)),
        (_("Alarm firm"), PLAIN.value(way.alarm_route)),
        (_("Door code"), PLAIN.value(_door(way.door_code_from))),
    ]
    head = PLAIN.heading_strips(number, _("Where, and whom to call"), width)
    photo = facts.radio.photo
    if photo is None:
        return [*head, *PLAIN.pairs(rows, width)]
    room = width - PHOTO[0] - 4 * MM
    beside_photo = [(0.0, PLAIN.pairs(rows, room, across=1)), (room + 4 * MM, photo_strips(photo, *PHOTO))]
    return [*head, *beside(beside_photo)]


def _contacts(contacts: tuple[Contact, ...] | None) -> str | None:
    if contacts is None:
        return None
    return words.semicolons([_contact(each) for each in contacts]) or _("nobody is named")


def _contact(contact: Contact) -> str:
    number = words.phone(contact.phone) if contact.phone else _("no number recorded")
    role = as_what(contact)
    told = _("{name} ({role}) {number}") if role else _("{name} {number}")
    return told.format(name=contact.name, role=role, number=number)


def _door(who: str | None) -> str | None:
    return _("ask {who}").format(who=who) if who else None


def safety_section(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """People before radios: what each safety device does now, and when not to begin."""
    head = PLAIN.heading_strips(number, _("First: are people safe?"), width)
    box = boxed(_limits(facts.do_not_begin, width - 2 * TIGHT), width, thickness=1.2, padding=TIGHT)
    stops = Strip(box.height, box.draw, gap=1.2 * MM)
    return [*head, *held(_safety(facts.safety, width)), *_mind(facts.mind, width), stops]


def _mind(warnings: tuple[str, ...], width: float) -> list[Strip]:
    """What the home warns of: no condition in which not to begin, but nothing to walk into unawares."""
    if not warnings:
        return []
    title = paragraph(_("Mind:"), PLAIN.body.strong(), width, gap=1.2 * MM)
    return [*held(title), *points(warnings, PLAIN.body, width, mark="–")]


def _limits(stops: tuple[Text, ...] | None, width: float) -> list[Strip]:
    strong = PLAIN.body.strong()
    if stops is None:
        told = _("Conditions in which not to begin: not recorded. Ask the office.")
        return paragraph(told, strong, width)
    if not stops:
        return paragraph(_("No condition forbids to begin."), PLAIN.body, width)
    title = paragraph(_("DO NOT BEGIN IN"), strong, width)
    return [*title, *points([said(each) for each in stops], PLAIN.body, width, mark="–")]


def _safety(items: tuple[SafetyItem, ...] | None, width: float) -> list[Strip]:
    if items is None:
        told = _(
            "The safety devices of this home are not recorded. Ask everybody in the house before you go on."
        )
        return paragraph(told, PLAIN.body.strong(), width)
    if not items:
        told = _("By the book no safety device hangs on this mesh. Ask all the same.")
        return paragraph(told, PLAIN.body.strong(), width)
    rows: list[list[Cell]] = [
        [Mark.TICK, named_item(item, PLAIN), PLAIN.value(item.state), PLAIN.value(item.fall_back)]
        for item in items
    ]
    heads = ("", _("Safety device"), _("While the radio is silent"), _("Fall-back by hand"))
    return table(rows_only((0.032, 0.378, 0.25, 0.34), rows, heads), PLAIN.table, width)


def checks_section(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """Is it the radio? In order, with the sign of a healthy part."""
    total = sum(check.minutes for check in facts.checks)
    if facts.checks:
        title = _("Is it the radio? {minutes} in all").format(minutes=words.minutes(total))
    else:
        title = _("Is it the radio?")
    head = PLAIN.heading_strips(number, title, width)
    if not facts.checks:
        return [*head, *paragraph(_("No checks are recorded. Ask the office."), PLAIN.body, width)]
    rows: list[list[Cell]] = [
        [
            Mark.TICK,
            ((f"{at}\u2002{isolated(said(check.look_at))}", PLAIN.body.strong()),),
            said(check.expected),
            words.minutes(check.minutes),
        ]
        for at, check in enumerate(facts.checks, 1)
    ]
    heads = ("", _("Look at, in this order"), _("A healthy one"), _("Target"))
    return [*head, *table(rows_only((0.032, 0.348, 0.54, 0.08), rows, heads), PLAIN.table, width)]
