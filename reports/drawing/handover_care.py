"""Hand-over, what both sides owe each other: duties, agreement, batteries, signatures."""

from collections.abc import Sequence

from reports.drawing import words
from reports.drawing.blocks import GRID, HALF, MM, boxed, paragraph, points, writing_line
from reports.drawing.looks import BOOK
from reports.drawing.strips import Strip, beside, held
from reports.drawing.tables import Cell, rows_only, table
from reports.facts.care import Agreement, Batteries
from reports.facts.handover import HandoverFacts
from reports.facts.head import Contact

GAP = 6 * MM
USUAL_DUTIES = (
    "Tell us before or soon after you add or remove a device, or change the Wi-Fi.",
    "Leave the head radio where it is and on its feed; tell us if it has to move.",
    "Tell us of a long absence or of building work.",
    "Change batteries when they are due (section 10).",
)
RIGHTS = (
    "Ask for a copy of it, its correction or its erasure at any time; what the law makes us keep, we name."
)
COPY = "Call us: home code, sheet number."


def duties_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """What the client looks after."""
    strips = BOOK.heading_strips(number, "What we ask of you", width)
    half = (width - GAP) / 2
    duties = (*USUAL_DUTIES, *facts.duties)
    middle = (len(duties) + 1) // 2
    left, right = points(duties[:middle], BOOK.body, half), points(duties[middle:], BOOK.body, half)
    return [*strips, *beside([(0.0, left), (half + GAP, right)])]


def agreement_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """The agreement in short, who to call, warranties, data held, who may enter."""
    half = (width - GAP) / 2
    held_data = _joined(facts.data_held, "nothing besides this sheet")
    entry = _joined(
        [f"{each.who} ({each.terms})" if each.terms else each.who for each in facts.entry or ()], "nobody"
    )
    rows: list[tuple[str, Cell]] = [
        ("Data we hold", BOOK.value(held_data if facts.data_held is not None else None)),
        ("Your rights", RIGHTS),
        ("Who may enter", BOOK.value(entry if facts.entry is not None else None)),
    ]
    return [
        *BOOK.heading_strips(number, "Care agreement", width),
        *_agreement(facts.agreement, width),
        *beside([(0.0, _contacts(facts.contacts, half)), (half + GAP, _warranties(facts, half))], GRID / 2),
        *BOOK.pairs(rows, width, across=1, gap=MM, label_share=0.16),
    ]


def _joined(parts: Sequence[str] | None, none: str) -> str:
    return "; ".join(parts or ()) or none


def _agreement(agreement: Agreement | None, width: float) -> list[Strip]:
    if agreement is None:
        return paragraph("No care agreement is recorded for this home.", BOOK.body, width)
    ends = words.day(agreement.ends_on) if agreement.ends_on else None
    rows: list[tuple[str, Cell]] = [
        ("Reference", BOOK.value(agreement.reference)),
        ("Began", BOOK.value(words.day(agreement.starts_on) if agreement.starts_on else None)),
        ("Ends", BOOK.value(ends)),
        ("Notice by", BOOK.value(words.day(agreement.notice_by) if agreement.notice_by else None)),
        ("Hours covered", BOOK.value(agreement.hours_covered)),
        (
            "Answer within",
            BOOK.value(words.hours(agreement.response_hours) if agreement.response_hours else None),
        ),
        (
            "Rehearsed",
            BOOK.value(f"every {agreement.drill_every_days} days" if agreement.drill_every_days else None),
        ),
        ("Radio belongs to", BOOK.value(agreement.owns_radio)),
    ]
    return BOOK.pairs(rows, width)


def _contacts(contacts: tuple[Contact, ...] | None, width: float) -> list[Strip]:
    title = paragraph("People to call", BOOK.body.strong(), width)
    if not contacts:
        said = "Nobody is named." if contacts == () else "Not recorded."
        return [*title, *paragraph(said, BOOK.body, width)]
    rows: list[list[Cell]] = []
    for contact in contacts:
        named = ((contact.name, BOOK.body.strong()), (f" {_as_what(contact)}", BOOK.body))
        rows.append([named, BOOK.value(words.phone(contact.phone) if contact.phone else None)])
    return [*title, *table(rows_only((0.64, 0.36), rows), BOOK.table, width)]


def _as_what(contact: Contact) -> str:
    return ", ".join(part for part in (contact.role, contact.note) if part)


def _warranties(facts: HandoverFacts, width: float) -> list[Strip]:
    title = paragraph("Warranties", BOOK.body.strong(), width)
    if not facts.warranties:
        said = "None runs." if facts.warranties == () else "Not recorded."
        return [*title, *paragraph(said, BOOK.body, width)]
    rows: list[list[Cell]] = [
        [each.part, BOOK.value(f"until {words.day(each.ends_on)}" if each.ends_on else None)]
        for each in facts.warranties
    ]
    return [*title, *table(rows_only((0.5, 0.5), rows), BOOK.table, width)]


def batteries_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """Batteries, their disposal, copies, complaints."""
    half = (width - GAP) / 2
    rows: list[tuple[str, Cell]] = [
        ("Used batteries", BOOK.value(facts.battery_disposal)),
        ("Copies", COPY),
        ("Complaints", BOOK.value(facts.firm.complaint_route)),
    ]
    right = BOOK.pairs(rows, half, across=1)
    head = BOOK.heading_strips(number, "Batteries, copies, complaints", width)
    return [*head, *beside([(0.0, _batteries(facts.batteries, half)), (half + GAP, right)])]


def _batteries(batteries: tuple[Batteries, ...] | None, width: float) -> list[Strip]:
    if not batteries:
        said = (
            "No battery is in use." if batteries == () else "Types, counts and due months are not recorded."
        )
        return paragraph(said, BOOK.body, width)
    rows: list[list[Cell]] = [_battery_row(each) for each in batteries]
    return table(rows_only((0.4, 0.22, 0.38), rows, ("Batteries", "How many", "Due")), BOOK.table, width)


def _battery_row(each: Batteries) -> list[Cell]:
    return [each.kind, str(each.count), BOOK.value(words.month(each.due_month) if each.due_month else None)]


def signing_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """Open points, then the lines to sign on. Kept together."""
    signing = facts.signing
    defects = None if signing.open_defects is None else _joined(signing.open_defects, "none")
    untested = None
    if signing.not_tested is not None:
        untested = _joined(
            [f"{each.what}: {each.because}" for each in signing.not_tested], "nothing was left untested"
        )
    rows: list[tuple[str, Cell]] = [
        ("Open defects, accepted", BOOK.value(defects)),
        ("Not tested, because", BOOK.value(untested)),
    ]
    zone = facts.home.zone
    column = (width - 2 * HALF - 10 * MM) / 2
    names = (signing.technician or "name not recorded", signing.client_or_deputy or "name not recorded")
    lines = [
        *beside(
            [
                (0.0, [writing_line(f"Technician: {names[0]}", BOOK.label, column, 12 * MM)]),
                (
                    column + 10 * MM,
                    [writing_line(f"Client or deputy: {names[1]}", BOOK.label, column, 12 * MM)],
                ),
            ]
        ),
        *beside(
            [
                (0.0, [writing_line("Place", BOOK.label, column, 10 * MM)]),
                (column + 10 * MM, [writing_line(f"Date and time ({zone})", BOOK.label, column, 10 * MM)]),
            ]
        ),
    ]
    block = boxed(lines, width)
    head = BOOK.heading_strips(number, "Signatures", width)
    table_strips = held(BOOK.pairs(rows, width, across=1, label_share=0.2))
    return [*head, *table_strips, Strip(block.height, block.draw, 2 * MM)]
