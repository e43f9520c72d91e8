"""Hand-over, the head radio: where it is, what it is called, what stops when it stops."""

from reports.drawing import words
from reports.drawing.blocks import GRID, MM, boxed, paragraph
from reports.drawing.language import _
from reports.drawing.looks import BOOK
from reports.drawing.pen import Pen
from reports.drawing.saying import said
from reports.drawing.strips import Strip, beside
from reports.drawing.tables import Cell
from reports.facts.fixed import Text
from reports.facts.handover import HandoverFacts
from reports.facts.head import Photo
from reports.facts.radio import HeadRadio

PHOTO_WIDTH = 48 * MM
PHOTO_HEIGHT = 36 * MM


def radio_section(number: int, facts: HandoverFacts, width: float) -> list[Strip]:
    """One part for each head radio."""
    several = len(facts.radios) > 1
    title = _("The head radios (coordinators)") if several else _("The head radio (coordinator)")
    strips = BOOK.heading_strips(number, title, width)
    if not facts.radios:
        return [*strips, *paragraph(_("No head radio is recorded in this home."), BOOK.body, width)]
    for radio in facts.radios:
        strips.extend(_radio(radio, width))
    return strips


def _radio(radio: HeadRadio, width: float) -> list[Strip]:
    room = width - PHOTO_WIDTH - 4 * MM if radio.photo else width
    name = _("{code}: {model}").format(code=radio.mesh_code, model=radio.model or _("model not recorded"))
    title = paragraph(name, BOOK.body.strong(), room, gap=GRID / 2)
    rows: list[tuple[str, Cell]] = [
        (_("Where it sits"), BOOK.value(radio.place)),
        (_("Its feed"), BOOK.value(radio.feed)),
        (_("Its breaker"), BOOK.value(radio.breaker)),
        (_("Connection"), BOOK.value(radio.connection)),
        (_("Transmit power"), BOOK.value(_power(radio))),
        (_("Factory address"), BOOK.identifier(radio.factory_address)),
        (_("Carried address"), BOOK.identifier(radio.carried_address)),
        (_("Serial number"), BOOK.value(radio.serial)),
        (_("Firmware"), BOOK.value(radio.firmware)),
        (_("Family"), BOOK.value(radio.family)),
    ]
    table = BOOK.pairs(rows, room, across=1 if radio.photo else 2)
    when = _("When it stops, these stop:")
    spans = ((f"{when} ", BOOK.body.strong()), (_stops(radio.stops), BOOK.body))
    after = paragraph(spans, BOOK.body, width, gap=MM)
    if radio.photo is None:
        return [*(Strip(s.height, s.draw, s.gap, True) for s in title), *table, *after]
    return [*beside([(0.0, [*title, *table]), (room + 4 * MM, photo_strips(radio.photo))], GRID / 2), *after]


def _stops(stops: tuple[Text, ...] | None) -> str:
    if stops is None:
        return words.not_recorded()
    return words.semicolons([said(each) for each in stops]) or _("nothing")


def _power(radio: HeadRadio) -> str | None:
    parts = [f"{radio.power_dbm:+d}\u00a0dBm" if radio.power_dbm is not None else None, radio.region]
    return words.commas([part for part in parts if part]) or None


def photo_strips(photo: Photo, width: float = PHOTO_WIDTH, height: float = PHOTO_HEIGHT) -> list[Strip]:
    """The photograph in a thin frame with its caption."""

    def draw(pen: Pen, x: float, top: float) -> None:
        pen.photo(photo.jpeg, x, top - height, width, height, alt=photo.caption)

    told = [photo.caption, words.day(photo.taken_on)] if photo.taken_on else [photo.caption]
    return [
        boxed([Strip(height, draw)], width, padding=0.0),
        *paragraph(words.commas(told), BOOK.label, width, gap=MM),
    ]
