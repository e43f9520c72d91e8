"""Job sheet, before setting out: cautions, the twelve checks, what to take along, how long it takes."""

from collections.abc import Mapping

from fleet.planning.replacing.preflight import Finding, Met
from reports.drawing import cautions, words
from reports.drawing.blocks import MM, paragraph
from reports.drawing.language import _, later
from reports.drawing.looks import PLAIN
from reports.drawing.masthead import caution_box
from reports.drawing.preflight_words import ITEMS, STANDINGS, because
from reports.drawing.recovery_before import TIGHT
from reports.drawing.strips import Strip, beside, held
from reports.drawing.tables import Cell, Mark, rows_only, table
from reports.facts.job import Bring, Estimate, JobFacts, Minutes, Taken

BRING: Mapping[Bring, str] = {
    Bring.RADIO: later("The radio {detail}"),
    Bring.COPY: later("The copy of box 5, given out by the book, sealed until it is written"),
    Bring.SERIAL_CABLE: later("Serial cable, and a second one"),
    Bring.NETWORK_CABLE: later("Network cable, and its feed"),
    Bring.LADDER: later("Ladder and a second person, unless this is in reach: {detail}"),
    Bring.LICENCE: later("Mains licence, where a feed or breaker is touched"),
    Bring.WAKE_LIST: later("Time for the wake-up list of box 9"),
    Bring.BATTERIES: later("Batteries: {detail}"),
    Bring.BAG: later("Bag, label and pen for the old radio"),
    Bring.PHONE: later("Camera, and the firm's number"),
}


def caution_section(width: float) -> list[Strip]:
    """First of all, whatever can hurt somebody."""
    texts = (
        cautions.FALL_BACKS,
        cautions.ONE_VOICE,
        cautions.ONE_IDENTITY[0],
        cautions.ONE_IDENTITY[2],
        cautions.LICENSED,
        cautions.NO_SECRETS,
    )
    label = _("CAUTIONS, BEFORE ANYBODY TOUCHES A RADIO")
    box = caution_box(PLAIN, label, tuple(_(text) for text in texts), width, TIGHT)
    return [Strip(box.height, box.draw, PLAIN.section_gap)]


def preflight_section(number: int, facts: JobFacts, width: float) -> list[Strip]:
    """The twelve checks, then what to take along beside the time it takes."""
    head = PLAIN.heading_strips(number, _("Before you set out"), width)
    return [*head, *_checks(facts, width), *_pack(facts, width)]


def _checks(facts: JobFacts, width: float) -> list[Strip]:
    if not facts.preflight:
        none = _("Nothing was checked. Call the office before you drive.")
        return paragraph(none, PLAIN.body.strong(), width)
    rows: list[list[Cell]] = [
        [Mark.TICK, f"{at}\u2002{_(ITEMS[each.item])}", _standing(each), because(each)]
        for at, each in enumerate(facts.preflight, 1)
    ]
    heads = ("", _("All twelve, in this order"), _("By the book"), _("Because"))
    return table(rows_only((0.032, 0.328, 0.11, 0.53), rows, heads), PLAIN.table, width)


def _standing(each: Finding) -> Cell:
    style = PLAIN.body if each.met is Met.YES else PLAIN.body.strong()
    return ((_(STANDINGS[each.met]), style),)


def _pack(facts: JobFacts, width: float) -> list[Strip]:
    half = (width - 5 * MM) / 2
    left = [*held(paragraph(_("Take along"), PLAIN.body.strong(), half)), *_bring(facts, half)]
    right = [
        *held(paragraph(_("How long it takes"), PLAIN.body.strong(), half)),
        *_estimate(facts, half),
    ]
    return beside([(0.0, left), (half + 5 * MM, right)], 2 * MM)


def _bring(facts: JobFacts, width: float) -> list[Strip]:
    rows: list[list[Cell]] = [[Mark.TICK, _taken(each)] for each in facts.bring]
    return table(rows_only((0.07, 0.93), rows), PLAIN.table, width)


def _taken(each: Taken) -> str:
    return _(BRING[each.what]).format(detail=each.detail or words.not_recorded())


def _estimate(facts: JobFacts, width: float) -> list[Strip]:
    estimate = facts.estimate
    rows: list[list[Cell]] = [
        _minutes(_("This replacement"), estimate.restore),
        _minutes(_("Joining all again"), estimate.rejoin),
    ]
    heads = (_("Way included"), _("Low"), _("Likely"), _("High"))
    return [
        *table(rows_only((0.37, 0.21, 0.21, 0.21), rows, heads), PLAIN.table, width),
        *paragraph(_worth(facts, estimate), PLAIN.body, width, gap=MM),
    ]


def _minutes(name: str, minutes: Minutes | None) -> list[Cell]:
    if minutes is None:
        return [name, PLAIN.value(None), "", ""]
    return [name, *(words.minutes(each) for each in (minutes.low, minutes.likely, minutes.high))]


def _worth(facts: JobFacts, estimate: Estimate) -> str:
    if estimate.percent is None:
        return ""
    worth = _("Trying this first takes less time from a chance of {percent} % on.")
    line = worth.format(percent=words.number(estimate.percent))
    if facts.fit is None or not facts.fit.record.trials:
        return " ".join((line, _("Nobody has tried this pair, so its chance is not known.")))
    record = _("The record of this pair says: at least {percent} %.")
    return " ".join((line, record.format(percent=words.number(facts.fit.record.lower_percent))))
