"""Recovery, boxes 1 to 3: whom to call, where it is, whether people are safe, whether it is the radio at all."""

from reports.drawing import words
from reports.drawing.blocks import MM, boxed, paragraph, points
from reports.drawing.handover_radio import photo_strips
from reports.drawing.looks import PLAIN
from reports.drawing.strips import Strip, beside, held
from reports.drawing.tables import Cell, Mark, rows_only, table
from reports.facts.head import Contact
from reports.facts.recovery import RecoveryFacts
from reports.facts.safety import SafetyItem

PHOTO = (44 * MM, 33 * MM)
TIGHT = 1.3 * MM


def people_section(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """Whom to call, how to get in, where the radio sits."""
    strong = PLAIN.body.strong()
    way = facts.way_in
    rows: list[tuple[str, Cell]] = [
        ("Radio sits", ((facts.radio.place, strong),) if facts.radio.place else PLAIN.value(None)),
        ("Home", PLAIN.value(f"{facts.home.code}: {facts.home.client_name}")),
        ("Place", PLAIN.value(", ".join(facts.home.place_lines) or None)),
        ("In the house", PLAIN.value(_contacts(facts.contacts))),
        ("Floor", PLAIN.value(way.floor)),
        ("Parking", PLAIN.value(way.parking)),
        ("Alarm firm", PLAIN.value(way.alarm_route)),
        ("Door code", PLAIN.value(f"ask {way.door_code_from}" if way.door_code_from else None)),
    ]
    head = PLAIN.heading_strips(number, "Where, and whom to call", width)
    photo = facts.radio.photo
    if photo is None:
        return [*head, *PLAIN.pairs(rows, width)]
    room = width - PHOTO[0] - 4 * MM
    beside_photo = [(0.0, PLAIN.pairs(rows, room, across=1)), (room + 4 * MM, photo_strips(photo, *PHOTO))]
    return [*head, *beside(beside_photo)]


def _contacts(contacts: tuple[Contact, ...] | None) -> str | None:
    if contacts is None:
        return None
    named = [
        " ".join(
            part
            for part in (
                each.name,
                _as_what(each),
                words.phone(each.phone or "no number recorded"),
            )
            if part
        )
        for each in contacts
    ]
    return "; ".join(named) or "nobody is named"


def _as_what(contact: Contact) -> str:
    said = ", ".join(part for part in (contact.role, contact.note) if part)
    return f"({said})" if said else ""


def safety_section(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """People before radios: what each safety device does now, and when not to begin."""
    head = PLAIN.heading_strips(number, "First: are people safe?", width)
    box = boxed(_limits(facts.do_not_begin, width - 2 * TIGHT), width, thickness=1.2, padding=TIGHT)
    return [*head, *held(_safety(facts.safety, width)), Strip(box.height, box.draw, gap=1.2 * MM)]


def _limits(stops: tuple[str, ...] | None, width: float) -> list[Strip]:
    strong = PLAIN.body.strong()
    if stops is None:
        said = "Conditions in which not to begin: not recorded. Ask the office."
        return paragraph(said, strong, width)
    if not stops:
        return paragraph("No condition forbids to begin.", PLAIN.body, width)
    title = paragraph("DO NOT BEGIN IN", strong, width)
    return [*title, *points(stops, PLAIN.body, width, mark="–")]


def _safety(items: tuple[SafetyItem, ...] | None, width: float) -> list[Strip]:
    if items is None:
        said = (
            "The safety devices of this home are not recorded. Ask everybody in the house before you go on."
        )
        return paragraph(said, PLAIN.body.strong(), width)
    if not items:
        said = "By the book no safety device hangs on this mesh. Ask all the same."
        return paragraph(said, PLAIN.body.strong(), width)
    rows: list[list[Cell]] = []
    for item in items:
        where = f" {item.name}, {item.room}" if item.room else f" {item.name}"
        named = ((f"{words.sentence(item.kind)}:", PLAIN.body.strong()), (where, PLAIN.body))
        rows.append([Mark.TICK, named, PLAIN.value(item.state), PLAIN.value(item.fall_back)])
    heads = ("", "Safety device", "While the radio is silent", "Fall-back by hand")
    return table(rows_only((0.032, 0.378, 0.25, 0.34), rows, heads), PLAIN.table, width)


def checks_section(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """Is it the radio? In order, with the sign of a healthy part."""
    total = sum(check.minutes for check in facts.checks)
    said = f"Is it the radio? {words.minutes(total)} in all" if facts.checks else "Is it the radio?"
    head = PLAIN.heading_strips(number, said, width)
    if not facts.checks:
        return [*head, *paragraph("No checks are recorded. Ask the office.", PLAIN.body, width)]
    rows: list[list[Cell]] = [
        [
            Mark.TICK,
            ((f"{at}\u2002{check.look_at}", PLAIN.body.strong()),),
            check.expected,
            words.minutes(check.minutes),
        ]
        for at, check in enumerate(facts.checks, 1)
    ]
    heads = ("", "Look at, in this order", "A healthy one", "Target")
    return [*head, *table(rows_only((0.032, 0.348, 0.54, 0.08), rows, heads), PLAIN.table, width)]
