"""The month of the book: what the owner of the firm reads once a month, figures first, lists after them."""

from collections.abc import Sequence

from reports.drawing import charts, words
from reports.drawing.blocks import GRID, MM, paragraph, space
from reports.drawing.digest_figures import figures_section
from reports.drawing.digest_lists import (
    ending_section,
    families_section,
    rounds_section,
    tight_section,
    troubled_section,
    unrecorded_section,
    waiting_section,
)
from reports.drawing.faces import Family
from reports.drawing.handover_mesh import figure_strip
from reports.drawing.items import firm_name
from reports.drawing.language import _, isolated, later, many, speaking
from reports.drawing.looks import BOOK
from reports.drawing.masthead import QR_SIZE, issued_words, masthead, stamp
from reports.drawing.sheet import Margins, Paper, column_width, write
from reports.drawing.state_words import legend
from reports.drawing.strips import Strip, beside, held
from reports.drawing.type import Style
from reports.facts.digest import AgeBand, DigestFacts

TITLE = later("Month of the book")
LARGE = Style(Family.BOOK, 12, 6 * MM, bold=True)
STRIP_HEIGHT = 26 * MM
COLUMN_HEIGHT = 16 * MM


def draw(facts: DigestFacts, paper: Paper) -> bytes:
    """The paper as a PDF. Equal facts give equal octets."""
    with speaking(facts.language):
        return _draw(facts, paper)


def _draw(facts: DigestFacts, paper: Paper) -> bytes:
    margins = Margins()
    width = column_width(paper, margins)
    stamped = stamp(_(TITLE), facts.code, facts)
    strips = [
        *masthead(_title(facts, width - QR_SIZE), stamped, width),
        *figures_section(1, facts, width),
        *_days(2, facts, width),
        *_ages(3, facts, width),
        *troubled_section(4, facts, width),
        *families_section(5, facts, width),
        *tight_section(6, facts, width),
        *ending_section(7, facts, width),
        *rounds_section(8, facts, width),
        *waiting_section(9, facts, width),
        *unrecorded_section(10, facts, width),
    ]
    return write(strips, paper, margins, stamped.running(BOOK), stamped.about())


def _title(facts: DigestFacts, width: float) -> list[Strip]:
    code = Style(Family.FIXED, BOOK.title.size - 3, BOOK.title.leading)
    made = issued_words(facts.issue, facts.zone)
    return [
        *paragraph(((f"{_(TITLE)} ", BOOK.title), (isolated(facts.code), code)), BOOK.title, width),
        *paragraph(
            words.commas((firm_name(facts.firm), words.month(facts.month))), BOOK.body.strong(), width
        ),
        *paragraph(_in_short(facts), LARGE, width, gap=MM),
        *paragraph(made, BOOK.label, width, gap=MM),
    ]


def _in_short(facts: DigestFacts) -> str:
    """The question that an owner asks first: how many homes could be brought back."""
    standing, day = facts.now.standing, words.day(facts.now.day)
    if not standing.judged:
        return _(
            "No home was judged by the end of {day}: of this month the book cannot say who was covered."
        ).format(day=day)
    told = many(
        "At the end of {day}, {held} of {n} home was covered.",
        "At the end of {day}, {held} of {n} homes were covered.",
        standing.judged,
    )
    line = words.counted(told, standing.judged, day=day, held=words.number(standing.held))
    if not standing.bare:
        return " ".join((line, _("None was without a way back.")))
    lost = many("{n} could not be brought back.", "{n} could not be brought back.", standing.bare)
    return f"{line} {words.counted(lost, standing.bare)}"


def _days(number: int, facts: DigestFacts, width: float) -> list[Strip]:
    head = BOOK.heading_strips(number, _("Homes day by day"), width)
    judged = sum(day.standing is not None for day in facts.days)
    if not judged:
        said = _("No round went through the book in this month, so no day was judged.")
        return [*head, *paragraph(said, BOOK.body, width)]
    told = many(
        "A column a day, by the worst state of that day. Judged on {n} day of {days}; the others have a dot.",
        "A column a day, by the worst state of that day. Judged on {n} days of {days}; the others have a dot.",
        judged,
    )
    said = words.counted(told, judged, days=words.number(len(facts.days)))
    drawing = charts.homes_by_day(facts.days, width, STRIP_HEIGHT)
    return [
        *head,
        *held([figure_strip(drawing, MM, alt=said), *legend(width)]),
        *paragraph(said, BOOK.label, width),
    ]


def _ages(number: int, facts: DigestFacts, width: float) -> list[Strip]:
    head = BOOK.heading_strips(number, _("Age of the newest sound copy, by mesh"), width)
    most = max((band.count for band in facts.bands), default=0)
    if not most:
        return [*head, *paragraph(_("No mesh is in care."), BOOK.body, width)]
    room = width / len(facts.bands)
    names = _band_names(facts.bands)
    columns = [
        (
            at * room,
            [
                figure_strip(
                    charts.column(band.count, most, room - 2 * MM, COLUMN_HEIGHT),
                    alt=words.number(band.count),
                ),
                *paragraph(name, BOOK.label, room - 2 * MM),
            ],
        )
        for at, (band, name) in enumerate(zip(facts.bands, names, strict=True))
    ]
    return [*head, space(GRID / 4), *beside(columns)]


def _band_names(bands: Sequence[AgeBand]) -> list[str]:
    names = []
    before = 0
    for band in bands:
        if band.none:
            names.append(_("no sound copy"))
        elif band.up_to is None:
            names.append(_("older than {age}").format(age=words.hours(before)))
        else:
            names.append(_("under {age}").format(age=words.hours(band.up_to)))
            before = band.up_to
    return names
