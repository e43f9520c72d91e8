"""Job sheet, boxes 4 and 7: the two radios side by side, whether one may take over from the other, and the number."""

from fleet.planning.compatibility import Verdict
from reports.drawing import words
from reports.drawing.blocks import MM, boxed, paragraph
from reports.drawing.fit_words import MEANS, rule, verdict
from reports.drawing.language import _, later, many
from reports.drawing.looks import PLAIN
from reports.drawing.recovery_before import TIGHT
from reports.drawing.saying import said, said_or_none
from reports.drawing.strips import Strip, held
from reports.drawing.tables import Cell, Group, Mark, Table, rows_only, table
from reports.drawing.type import Style
from reports.facts.fit import Fit, PairRecord, RuleFound
from reports.facts.job import JobFacts, Taker, Way, WayBack
from reports.facts.radio import HeadRadio
from reports.facts.recovery import BackOut

ACROSS = 3
LEDGER = later(
    "This paper gives no number out. On the day, have the copy given out in the book (mesh {mesh}, “Give a copy "
    "out”): there the ledger grants the number and keeps it. Work by box 6 only where the book is out of reach, "
    "write the number down, and enter it afterwards."
)
LARGE = Style(PLAIN.body.family, 13, 6 * MM, bold=True)


def radios_section(number: int, facts: JobFacts, width: float) -> list[Strip]:
    """The radio that stands there and the one that takes over, line by line."""
    old, taker = facts.radio, facts.taker
    new = taker.radio
    wanted = old.carried_address
    rows: list[list[Cell]] = [
        [_label(_("Unit")), _strong(facts.old_code), _strong(taker.code)],
        [_label(_("Model, build")), PLAIN.value(_model(old)), PLAIN.value(_model(new))],
        [_label(_("Serial")), PLAIN.value(old.serial), PLAIN.value(new.serial)],
        [
            _label(_("On its label")),
            PLAIN.identifier(old.factory_address),
            PLAIN.identifier(new.factory_address),
        ],
        [
            _label(_("Carries now")),
            PLAIN.identifier(old.carried_address),
            PLAIN.identifier(new.carried_address),
        ],
        [_label(_("Must carry after")), _("none: off and bagged"), PLAIN.identifier(wanted)],
        [_label(_("Where")), PLAIN.value(old.place), PLAIN.value(taker.where)],
        [
            _label(_("Connection")),
            PLAIN.value(said_or_none(old.connection)),
            PLAIN.value(said_or_none(new.connection)),
        ],
        [_label(_("Power, feed")), PLAIN.value(_power(old)), _("as the old one")],
    ]
    heads = ("", _("The radio now"), _("The radio that takes over"))
    head = PLAIN.heading_strips(number, _("The two radios"), width)
    return [*head, *table(rows_only((0.16, 0.42, 0.42), rows, heads), PLAIN.table, width)]


def _label(text: str) -> Cell:
    return ((text, PLAIN.label),)


def _strong(code: str | None) -> Cell:
    return ((code, PLAIN.body.strong()),) if code else PLAIN.value(None)


def _model(radio: HeadRadio) -> str | None:
    if radio.model is None:
        return None
    family = _(" (family {family})").format(family=radio.family) if radio.family else ""
    build = radio.firmware or words.not_recorded()
    return _("{model}{family}, build {build}").format(model=radio.model, family=family, build=build)


def _power(radio: HeadRadio) -> str:
    dbm = words.not_recorded() if radio.power_dbm is None else f"{radio.power_dbm:+d}\u00a0dBm"
    feed = radio.feed or words.not_recorded()
    breaker = radio.breaker or words.not_recorded()
    return _("{dbm}; {feed}; breaker {breaker}").format(dbm=dbm, feed=feed, breaker=breaker)


def ledger_note(facts: JobFacts, width: float) -> list[Strip]:
    """Above box 6: the number on paper was given to nobody yet."""
    said = _(LEDGER).format(mesh=facts.mesh.code)
    box = boxed(paragraph(said, PLAIN.body.strong(), width - 2 * TIGHT), width, padding=TIGHT)
    return [Strip(box.height, box.draw, PLAIN.section_gap)]


def fit_section(number: int, facts: JobFacts, width: float) -> list[Strip]:
    """The verdict, the record, every rule with its reason, and the devices to join by hand."""
    head = PLAIN.heading_strips(number, _("Will it fit?"), width)
    fit = facts.fit
    if fit is None:
        said = _("NOT JUDGED: no sound snapshot says what this mesh asks of a radio. Call the office.")
        return [*head, *paragraph(said, PLAIN.body.strong(), width)]
    word = words.sentence(verdict(fit.verdict))
    spans = ((f"{word}. ", LARGE), (_(MEANS[fit.verdict]), PLAIN.body))
    return [
        *head,
        *held(paragraph(spans, LARGE, width)),
        *held(paragraph(_record(fit.record), PLAIN.body, width)),
        *_rules(fit.rules, width),
        *_rejoin(fit, width),
    ]


def _record(record: PairRecord) -> str:
    if not record.trials:
        return _("This pair of builds was never tried, on the bench or in a home.")
    if not record.passes:
        said = many(
            "This pair of builds was tried {trials} time and never passed.",
            "This pair of builds was tried {trials} times and never passed.",
            record.trials,
        )
        return said.format(trials=words.number(record.trials))
    said = many(
        "This pair of builds passed {passes} of {trials} try: at least {lower} % pass (95 %, one-sided).",
        "This pair of builds passed {passes} of {trials} tries: at least {lower} % pass (95 %, one-sided).",
        record.trials,
    )
    return said.format(
        passes=words.number(record.passes),
        trials=words.number(record.trials),
        lower=words.number(record.lower_percent),
    )


def _rules(rules: tuple[RuleFound, ...], width: float) -> list[Strip]:
    work = [each for each in rules if each.verdict is not Verdict.CLEAN]
    clean = [each for each in rules if each.verdict is Verdict.CLEAN]
    groups = [
        Group(name, [_rule(each) for each in found], again)
        for name, again, found in (
            (_("These decide"), _("These decide, continued"), work),
            (_("Clean"), _("Clean, continued"), clean),
        )
        if found
    ]
    heads = (_("Rule"), _("Verdict"), _("Reason"))
    return table(Table((0.2, 0.11, 0.69), groups, heads), PLAIN.table, width, gap=MM)


def _rule(each: RuleFound) -> list[Cell]:
    style = PLAIN.body if each.verdict is Verdict.CLEAN else PLAIN.body.strong()
    return [((rule(each.rule), style),), ((verdict(each.verdict), style),), said(each.why)]


def _rejoin(fit: Fit, width: float) -> list[Strip]:
    total = len(fit.rejoin) + fit.uncounted
    if not total:
        return paragraph(_("No device must be joined by hand."), PLAIN.body.strong(), width, gap=1.5 * MM)
    said = words.counted(
        many("{n} device must be joined by hand", "{n} devices must be joined by hand", total), total
    )
    if fit.uncounted:
        said += _(", {count} of them not known by name").format(count=words.number(fit.uncounted))
    cells: list[list[Cell]] = [[Mark.TICK, name] for name in fit.rejoin]
    rows = [_filled(cells[at : at + ACROSS]) for at in range(0, len(cells), ACROSS)]
    shares = (0.032, 0.3013) * ACROSS
    head = paragraph(said, PLAIN.body.strong(), width, gap=1.5 * MM)
    return [*held(head), *table(rows_only(shares, rows), PLAIN.table, width)] if rows else head


def _filled(cells: list[list[Cell]]) -> list[Cell]:
    row = [cell for pair in cells for cell in pair]
    return [*row, *([""] * (2 * ACROSS - len(row)))]


def back_out(way: WayBack) -> BackOut | None:
    """The judgement in the words of the steps' box; None where nobody could judge."""
    if way.way is Way.UNKNOWN:
        return None
    if way.way is Way.OUT_OF_REACH:
        return BackOut(False, _("the old radio is out of reach, lost or stolen"))
    if way.way is Way.NO_POWER:
        return BackOut(False, _("the old radio takes no power any more"))
    if way.way is Way.READY:
        ready = _("the old radio stands above every number used, and goes back as it is")
        return BackOut(True, _if_powered(way, ready))
    if way.way is Way.WRITE:
        said = _(
            "the old radio takes a number of its own, higher than any written (worked out anew); have it given out "
            "then, and write it before it speaks"
        )
        return BackOut(True, _if_powered(way, said))
    said = _("no way back, {deaf}: devices drop all that it sends until its count has caught up")
    return BackOut(False, said.format(deaf=deaf(way)))


def _if_powered(way: WayBack, told: str) -> str:
    return _("only if it still takes power: {then}").format(then=told) if way.failed else told


def deaf(way: WayBack) -> str:
    """59 days deaf"""
    if way.days_deaf is None:
        return _("deaf for nobody knows how long")
    if way.days_deaf < 1:
        return _("up to a day deaf")
    days = int(way.days_deaf)
    return words.counted(many("{n} day deaf", "{n} days deaf", days), days)


def taker_line(taker: Taker) -> str:
    """A2-0110 (Alder A2)"""
    return f"{taker.code} ({taker.radio.model})" if taker.radio.model else taker.code
