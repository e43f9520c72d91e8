"""Hand-over, what both sides owe each other: duties, agreement, batteries, signatures."""

from collections.abc import Sequence

from reports.drawing import words
from reports.drawing.blocks import GRID, HALF, MM, boxed, paragraph, points, writing_line
from reports.drawing.items import as_what
from reports.drawing.language import _, later, many
from reports.drawing.looks import BOOK
from reports.drawing.saying import said
from reports.drawing.strips import Strip, beside, held
from reports.drawing.tables import Cell, rows_only, table
from reports.facts.care import Agreement, Batteries, Entry
from reports.facts.fixed import Text
from reports.facts.handover import HandoverFacts
from reports.facts.head import Contact

GAP = 6 * MM
USUAL_DUTIES = (
    later("Tell us before or soon after you add or remove a device, or change the Wi-Fi."),
    later("Leave the head radio where it is and on its feed; tell us if it has to move."),
    later("Tell us of a long absence or of building work."),
    later("Change batteries when they are due (section 10)."),
)
RIGHTS = later(
    "Ask for a copy of it, its correction or its erasure at any time; what the law makes us keep, we name."
)
COPY = later("Call us: home code, sheet number.")


def duties_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """What the client looks after."""
    strips = BOOK.heading_strips(number, _("What we ask of you"), width)
    half = (width - GAP) / 2
    duties = (*map(_, USUAL_DUTIES), *facts.duties)
    middle = (len(duties) + 1) // 2
    left, right = points(duties[:middle], BOOK.body, half), points(duties[middle:], BOOK.body, half)
    return [*strips, *beside([(0.0, left), (half + GAP, right)])]


def agreement_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """The agreement in short, who to call, warranties, data held, who may enter."""
    half = (width - GAP) / 2
    held_data = _joined(facts.data_held, _("nothing besides this sheet"))
    entry = _joined([_entry(each) for each in facts.entry or ()], _("nobody"))
    rows: list[tuple[str, Cell]] = [
        (_("Data we hold"), BOOK.value(held_data if facts.data_held is not None else None)),
        (_("Your rights"), _(RIGHTS)),
        (_("Who may enter"), BOOK.value(entry if facts.entry is not None else None)),
    ]
    return [
        *BOOK.heading_strips(number, _("Care agreement"), width),
        *_agreement(facts.agreement, width),
        *beside([(0.0, _contacts(facts.contacts, half)), (half + GAP, _warranties(facts, half))], GRID / 2),
        *BOOK.pairs(rows, width, across=1, gap=MM, label_share=0.16),
    ]


def _joined(parts: Sequence[Text] | None, none: str) -> str:
    return words.semicolons([said(part) for part in parts or ()]) or none


def _entry(each: Entry) -> str:
    return _("{who} ({terms})").format(who=each.who, terms=each.terms) if each.terms else each.who


def _agreement(agreement: Agreement | None, width: float) -> list[Strip]:
    if agreement is None:
        return paragraph(_("No care agreement is recorded for this home."), BOOK.body, width)
    ends = words.day(agreement.ends_on) if agreement.ends_on else None
    rows: list[tuple[str, Cell]] = [
        (_("Reference"), BOOK.value(agreement.reference)),
        (_("Began"), BOOK.value(words.day(agreement.starts_on) if agreement.starts_on else None)),
        (_("Ends"), BOOK.value(ends)),
        (_("Notice by"), BOOK.value(words.day(agreement.notice_by) if agreement.notice_by else None)),
        (_("Hours covered"), BOOK.value(agreement.hours_covered)),
        (
            _("Answer within"),
            BOOK.value(words.hours(agreement.response_hours) if agreement.response_hours else None),
        ),
        (_("Rehearsed"), BOOK.value(_rehearsed(agreement.drill_every_days))),
        (_("Radio belongs to"), BOOK.value(agreement.owns_radio)),
    ]
    return BOOK.pairs(rows, width)


def _rehearsed(days: int | None) -> str | None:
    return words.counted(many("every {n} day", "every {n} days", days), days) if days else None


def _contacts(contacts: tuple[Contact, ...] | None, width: float) -> list[Strip]:
    title = paragraph(_("People to call"), BOOK.body.strong(), width)
    if not contacts:
        told = _("Nobody is named.") if contacts == () else _("Not recorded.")
        return [*title, *paragraph(told, BOOK.body, width)]
    rows: list[list[Cell]] = []
    for contact in contacts:
        named = ((contact.name, BOOK.body.strong()), (f" {as_what(contact)}", BOOK.body))
        rows.append([named, BOOK.value(words.phone(contact.phone) if contact.phone else None)])
    return [*title, *table(rows_only((0.64, 0.36), rows), BOOK.table, width)]


def _warranties(facts: HandoverFacts, width: float) -> list[Strip]:
    title = paragraph(_("Warranties"), BOOK.body.strong(), width)
    if not facts.warranties:
        told = _("None runs.") if facts.warranties == () else _("Not recorded.")
        return [*title, *paragraph(told, BOOK.body, width)]
    rows: list[list[Cell]] = [
        [
            said(each.part),
            BOOK.value(_("until {day}").format(day=words.day(each.ends_on)) if each.ends_on else None),
        ]
        for each in facts.warranties
    ]
    return [*title, *table(rows_only((0.5, 0.5), rows), BOOK.table, width)]


def batteries_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """Batteries, their disposal, copies, complaints."""
    half = (width - GAP) / 2
    rows: list[tuple[str, Cell]] = [
        (_("Used batteries"), BOOK.value(facts.battery_disposal)),
        (_("Copies"), _(COPY)),
        (_("Complaints"), BOOK.value(facts.firm.complaint_route)),
    ]
    right = BOOK.pairs(rows, half, across=1)
    head = BOOK.heading_strips(number, _("Batteries, copies, complaints"), width)
    return [*head, *beside([(0.0, _batteries(facts.batteries, half)), (half + GAP, right)])]


def _batteries(batteries: tuple[Batteries, ...] | None, width: float) -> list[Strip]:
    if not batteries:
        told = (
            _("No battery is in use.")
            if batteries == ()
            else _("Types, counts and due months are not recorded.")
        )
        return paragraph(told, BOOK.body, width)
    rows: list[list[Cell]] = [_battery_row(each) for each in batteries]
    heads = (_("Batteries"), _("How many"), _("Due"))
    return table(rows_only((0.4, 0.22, 0.38), rows, heads), BOOK.table, width)


def _battery_row(each: Batteries) -> list[Cell]:
    return [each.kind, str(each.count), BOOK.value(words.month(each.due_month) if each.due_month else None)]


def signing_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """Open points, then the lines to sign on. Kept together."""
    signing = facts.signing
    defects = None if signing.open_defects is None else _joined(signing.open_defects, _("none"))
    untested = None
    if signing.not_tested is not None:
        untested = _joined(
            [_("{what}: {why}").format(what=each.what, why=each.because) for each in signing.not_tested],
            _("nothing was left untested"),
        )
    rows: list[tuple[str, Cell]] = [
        (_("Open defects, accepted"), BOOK.value(defects)),
        (_("Not tested, because"), BOOK.value(untested)),
    ]
    when = _("Date and time ({zone})").format(zone=facts.home.zone)
    column = (width - 2 * HALF - 10 * MM) / 2
    nobody = _("name not recorded")
    technician = _("Technician: {name}").format(name=signing.technician or nobody)
    client = _("Client or deputy: {name}").format(name=signing.client_or_deputy or nobody)
    lines = [
        *beside(
            [
                (0.0, [writing_line(technician, BOOK.label, column, 12 * MM)]),
                (
                    column + 10 * MM,
                    [writing_line(client, BOOK.label, column, 12 * MM)],
                ),
            ]
        ),
        *beside(
            [
                (0.0, [writing_line(_("Place"), BOOK.label, column, 10 * MM)]),
                (column + 10 * MM, [writing_line(when, BOOK.label, column, 10 * MM)]),
            ]
        ),
    ]
    block = boxed(lines, width)
    head = BOOK.heading_strips(number, _("Signatures"), width)
    table_strips = held(BOOK.pairs(rows, width, across=1, label_share=0.2))
    return [*head, *table_strips, Strip(block.height, block.draw, 2 * MM)]
