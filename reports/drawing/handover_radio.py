"""Hand-over, the head radio: where it is, what it is called, what stops when it stops."""

from reports.drawing import words
from reports.drawing.blocks import GRID, MM, boxed, paragraph
from reports.drawing.looks import BOOK
from reports.drawing.pen import Pen
from reports.drawing.strips import Strip, beside
from reports.drawing.tables import Cell
from reports.facts.handover import HandoverFacts
from reports.facts.head import Photo
from reports.facts.radio import HeadRadio

PHOTO_WIDTH = 48 * MM
PHOTO_HEIGHT = 36 * MM


def radio_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """One part for each head radio."""
    many = len(facts.radios) > 1
    strips = BOOK.heading_strips(
        number, "The head radios (coordinators)" if many else "The head radio (coordinator)", width
    )
    if not facts.radios:
        return [*strips, *paragraph("No head radio is recorded in this home.", BOOK.body, width)]
    for radio in facts.radios:
        strips.extend(_radio(radio, width))
    return strips


def _radio(radio: HeadRadio, width: float) -> list[Strip]:
    room = width - PHOTO_WIDTH - 4 * MM if radio.photo else width
    name = f"{radio.mesh_code}: {radio.model or 'model ' + words.NOT_RECORDED}"
    title = paragraph(name, BOOK.body.strong(), room, gap=GRID / 2)
    rows: list[tuple[str, Cell]] = [
        ("Where it sits", BOOK.value(radio.place)),
        ("Its feed", BOOK.value(radio.feed)),
        ("Its breaker", BOOK.value(radio.breaker)),
        ("Connection", BOOK.value(radio.connection)),
        ("Transmit power", BOOK.value(_power(radio))),
        ("Factory address", BOOK.identifier(radio.factory_address)),
        ("Carried address", BOOK.identifier(radio.carried_address)),
        ("Serial number", BOOK.value(radio.serial)),
        ("Firmware", BOOK.value(radio.firmware)),
        ("Family", BOOK.value(radio.family)),
    ]
    table = BOOK.pairs(rows, room, across=1 if radio.photo else 2)
    stops = (
        "; ".join(radio.stops) if radio.stops else ("nothing" if radio.stops == () else words.NOT_RECORDED)
    )
    after = paragraph(
        (("When it stops, these stop: ", BOOK.body.strong()), (stops, BOOK.body)), BOOK.body, width, gap=MM
    )
    if radio.photo is None:
        return [*(Strip(s.height, s.draw, s.gap, True) for s in title), *table, *after]
    return [*beside([(0.0, [*title, *table]), (room + 4 * MM, photo_strips(radio.photo))], GRID / 2), *after]


def _power(radio: HeadRadio) -> str | None:
    parts = [f"{radio.power_dbm:+d}\u00a0dBm" if radio.power_dbm is not None else None, radio.region]
    return ", ".join(part for part in parts if part) or None


def photo_strips(photo: Photo, width: float = PHOTO_WIDTH, height: float = PHOTO_HEIGHT) -> list[Strip]:
    """The photograph in a thin frame with its caption."""

    def draw(pen: Pen, x: float, top: float) -> None:
        pen.photo(photo.jpeg, x, top - height, width, height)

    taken = f", {words.day(photo.taken_on)}" if photo.taken_on else ""
    return [
        boxed([Strip(height, draw)], width, padding=0.0),
        *paragraph(photo.caption + taken, BOOK.label, width, gap=MM),
    ]
