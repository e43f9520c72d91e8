"""Recovery, the right half of box 4: the spare that counts; or that none does, and which radios not to take."""

from collections.abc import Mapping
from datetime import date

from fleet.planning.hindrance import Against
from reports.drawing import words
from reports.drawing.blocks import MM, boxed, paragraph, points
from reports.drawing.language import _, isolated, later, many
from reports.drawing.looks import PLAIN
from reports.drawing.recovery_before import TIGHT
from reports.drawing.saying import inner, said_or_none
from reports.drawing.strips import Strip
from reports.drawing.tables import Cell
from reports.drawing.type import Spans
from reports.facts.radio import NotToTake, Spare

MOST_NAMED = 5
AGAINST: Mapping[Against, str] = {
    Against.BUILD_UNKNOWN: later("which build is on it is not known"),
    Against.BARRED: later("build {build} is barred"),
    Against.POLICY_UNKNOWN: later("whether build {build} is barred is not known"),
    Against.NOT_BLANK: later("not proven blank"),
    Against.NO_FIT: later("does not fit: {why}"),
    Against.WAY_UNKNOWN: later("its way to here is not known"),
    Against.TOO_FAR: later("too far: {away} away, {promised} promised"),
}


def spare_strips(spare: Spare | None, not_to_take: tuple[NotToTake, ...], width: float) -> list[Strip]:
    """One radio under its head, or no radio at all under that name."""
    strong = PLAIN.body.strong()
    if spare is not None:
        rows = PLAIN.pairs(_rows(spare), width, across=1)
        return [*paragraph(_("The spare for it"), strong, width), *rows]
    none = _("No spare counts for this mesh: call the office before you drive. Without one go to box 12.")
    told = paragraph(none, strong, width)
    return [*told, *_boxed(not_to_take, width)] if not_to_take else told


def _rows(spare: Spare) -> list[tuple[str, Cell]]:
    return [
        (_("Where"), ((spare.where, PLAIN.body.strong()),) if spare.where else PLAIN.value(None)),
        (_("Model"), PLAIN.value(built(spare.model, spare.firmware))),
        (_("Serial"), PLAIN.value(spare.serial)),
        (_("Verdict"), PLAIN.value(_dated(said_or_none(spare.verdict), spare.verdict_on))),
        (_("Blank by"), PLAIN.value(_by(spare.blank_by, spare.blank_on))),
    ]


def built(model: str, build: str | None) -> str:
    """Alder A2, build 7.4.2"""
    return _("{model}, build {build}").format(model=model, build=build or words.not_recorded())


def _dated(what: str | None, on: date | None) -> str | None:
    return words.commas([what, words.day(on)]) if what and on else what


def _by(who: str | None, on: date | None) -> str | None:
    parts = [part for part in (who, words.day(on) if on else None) if part]
    return " ".join(isolated(part) for part in parts) or None


def _boxed(refused: tuple[NotToTake, ...], width: float) -> list[Strip]:
    inside = width - 2 * TIGHT
    lines = [
        *paragraph(_("DO NOT TAKE"), PLAIN.body.strong(), inside),
        *points([_refused(each) for each in refused[:MOST_NAMED]], PLAIN.body, inside, mark="–"),
    ]
    if further := len(refused) - MOST_NAMED:
        more = many("and {n} more that does not count", "and {n} more that do not count", further)
        lines += paragraph(words.counted(more, further), PLAIN.body, inside) if further > 0 else []
    box = boxed(lines, width, thickness=1.2, padding=TIGHT)
    return [Strip(box.height, box.draw, MM)]


def _refused(each: NotToTake) -> Spans:
    """A2-0112 (Alder A2; van 2: drawer): not proven blank"""
    values = {
        "build": each.firmware or words.not_recorded(),
        "why": inner(each.because) if each.because else words.not_recorded(),
        "away": words.minutes(each.away_minutes or 0),
        "promised": words.minutes(each.promised_minutes or 0),
    }
    why = words.semicolons([_(AGAINST[reason]).format(**values) for reason in each.against])
    lies = _("{code} ({model}; {where}):").format(
        code=each.code, model=each.model, where=each.where or words.not_recorded()
    )
    return ((f"{lies} ", PLAIN.body.strong()), (isolated(why), PLAIN.body))
