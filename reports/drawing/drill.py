"""The record of one drill: what was rehearsed, what came of it, and what may be claimed from it."""

from reports.drawing import cautions, words
from reports.drawing.blocks import MM, paragraph, points
from reports.drawing.drill_words import BLANKS, BUILDS, CAUTIONS, FAILED, KINDS, PROVES, PROVES_NOT
from reports.drawing.faces import Family
from reports.drawing.items import firm_name
from reports.drawing.language import _, isolated, later, many, speaking
from reports.drawing.looks import BOOK
from reports.drawing.masthead import QR_SIZE, caution_box, issued_words, masthead, stamp
from reports.drawing.saying import said_or_none
from reports.drawing.sheet import Margins, Paper, column_width, write
from reports.drawing.signing import signature_block
from reports.drawing.strips import Strip, beside, held
from reports.drawing.tables import Cell
from reports.drawing.trials import most_drawn, trials_strip
from reports.drawing.type import Style
from reports.facts.drill import Blank, Claim, DrillFacts, Kind, NextDrill, Rehearsed
from reports.facts.fingerprint import short_form
from reports.facts.snapshots import SnapshotMark

TITLE = later("Drill record")
GAP = 8 * MM
LARGE = Style(Family.BOOK, 13, 6 * MM, bold=True)


def draw(facts: DrillFacts, paper: Paper) -> bytes:
    """The record as a PDF. Equal facts give equal octets. One page for a usual drill."""
    with speaking(facts.home.language):
        return _draw(facts, paper)


def _draw(facts: DrillFacts, paper: Paper) -> bytes:
    margins = Margins()
    width = column_width(paper, margins)
    stamped = stamp(_(TITLE), facts.mesh_code, facts)
    strips = [
        *masthead(_title(facts, width - QR_SIZE), stamped, width),
        *_cautions(facts, width),
        *_rehearsed(facts, width),
        *_with_what(facts, width),
        *_proof(facts, width),
        *_afterwards(facts, width),
        *_signatures(width),
    ]
    return write(strips, paper, margins, stamped.running(BOOK), stamped.about())


def _title(facts: DrillFacts, width: float) -> list[Strip]:
    code = Style(Family.FIXED, BOOK.title.size - 3, BOOK.title.leading)
    made = issued_words(facts.issue, facts.home.zone)
    return [
        *paragraph(((f"{_(TITLE)} ", BOOK.title), (isolated(facts.mesh_code), code)), BOOK.title, width),
        *paragraph(_in_short(facts), LARGE, width),
        *paragraph(made, BOOK.body, width),
    ]


def _in_short(facts: DrillFacts) -> str:
    """Bench write to a blank spare: passed in 38 min, Wednesday, 24 March 2027."""
    kind = _(KINDS[facts.kind])
    day = words.weekday(facts.held_at)
    if facts.minutes is None:
        line = _("{kind}: passed, {day}.") if facts.passed else _("{kind}: failed, {day}.")
        return line.format(kind=kind, day=day)
    line = _("{kind}: passed in {time}, {day}.") if facts.passed else _("{kind}: failed after {time}, {day}.")
    return line.format(time=words.minutes(facts.minutes), kind=kind, day=day)


def _cautions(facts: DrillFacts, width: float) -> list[Strip]:
    live = (cautions.FALL_BACKS,) if facts.kind is Kind.LIVE else ()
    texts = tuple(_(text) for text in (*CAUTIONS, *live, cautions.LICENSED, cautions.NO_SECRETS))
    box = caution_box(BOOK, _("CAUTION"), texts, width)
    return [Strip(box.height, box.draw, BOOK.section_gap)]


def _rehearsed(facts: DrillFacts, width: float) -> list[Strip]:
    day = f"{words.moment(facts.held_at, facts.held_at.tzinfo)} ({isolated(facts.home.zone)})"
    took = None if facts.minutes is None else words.minutes(facts.minutes)
    result = (_("passed") if facts.passed else _("FAILED"), BOOK.body.strong())
    rows: list[tuple[str, Cell]] = [
        (_("Home"), BOOK.value(f"{isolated(facts.home.code)}: {isolated(facts.home.client_name)}")),
        (_("Mesh"), BOOK.value(": ".join(part for part in (facts.mesh_code, facts.purpose) if part))),
        (_("Kind"), BOOK.value(_(KINDS[facts.kind]))),
        (_("Held"), BOOK.value(day)),
        (_("By"), BOOK.value(facts.by)),
        (_("Took"), BOOK.value(took)),
        (_("Result"), (result,)),
        (_("Issued by"), BOOK.value(firm_name(facts.firm))),
    ]
    head = BOOK.heading_strips(1, _("What was rehearsed"), width)
    return [*head, *BOOK.pairs(rows, width, label_share=0.2)]


def _with_what(facts: DrillFacts, width: float) -> list[Strip]:
    half = (width - GAP) / 2
    left = [*held(paragraph(_("The copy"), BOOK.body.strong(), half)), *_copy(facts, half)]
    right = [*held(paragraph(_("The radio"), BOOK.body.strong(), half)), *_radio(facts, half)]
    head = BOOK.heading_strips(2, _("With which copy, on which radio"), width)
    return [*head, *beside([(0.0, left), (half + GAP, right)])]


def _copy(facts: DrillFacts, width: float) -> list[Strip]:
    copy = facts.copy
    if copy is None:
        return paragraph(_("Which copy was used is not recorded."), BOOK.body, width)
    sequence = None if copy.key_sequence is None else words.number(copy.key_sequence)
    rows: list[tuple[str, Cell]] = [
        (_("Taken"), BOOK.value(words.moment(copy.taken_at, facts.held_at.tzinfo))),
        (_("Age then"), BOOK.value(_age(copy, facts))),
        (_("Digest"), ((short_form(copy.digest), BOOK.fixed),)),
        (_("Grade today"), BOOK.value(said_or_none(copy.grade))),
        (_("Devices in it"), BOOK.value(None if copy.nodes is None else words.number(copy.nodes))),
        (_("Key sequence"), BOOK.value(sequence)),
        (_("Numbers used"), BOOK.value(_numbers(facts))),
    ]
    return BOOK.pairs(rows, width, across=1)


def _age(copy: SnapshotMark, facts: DrillFacts) -> str:
    return words.minutes(max(0, int((facts.held_at - copy.taken_at).total_seconds() // 60)))


def _numbers(facts: DrillFacts) -> str:
    if facts.numbers_to is None:
        return _("none on record")
    return _("up to {number}, by the ledger").format(number=words.thousands(facts.numbers_to))


def _radio(facts: DrillFacts, width: float) -> list[Strip]:
    radio = facts.rehearsed
    if radio is None:
        return paragraph(_("No radio was written, or none is on record."), BOOK.body, width)
    rows: list[tuple[str, Cell]] = [
        (_("Unit"), BOOK.value(_unit(radio))),
        (_("Serial"), BOOK.value(radio.serial)),
        (_("From build"), BOOK.value(radio.source)),
        (_("To build"), BOOK.value(radio.target)),
        (_("Build today"), BOOK.value(radio.build_today)),
        (_("Same build"), BOOK.value(_(BUILDS[facts.same_build]))),
        (_("Blank since"), BOOK.value(_blank(facts))),
    ]
    return BOOK.pairs(rows, width, across=1)


def _unit(radio: Rehearsed) -> str:
    return words.commas((radio.code, radio.model))


def _blank(facts: DrillFacts) -> str:
    if facts.blank is not Blank.PROVEN or facts.blank_at is None:
        return _(BLANKS[facts.blank])
    day = words.day(facts.blank_at.astimezone(facts.held_at.tzinfo))
    return _("proven {day} by {name}").format(day=day, name=facts.blank_by or words.not_recorded())


def _proof(facts: DrillFacts, width: float) -> list[Strip]:
    half = (width - GAP) / 2
    proven = PROVES[facts.kind] if facts.passed else FAILED
    title = _("It proves") if facts.passed else _("It says")
    left = [*held(paragraph(title, BOOK.body.strong(), half)), *_points(proven, half)]
    right = [
        *held(paragraph(_("It does not prove"), BOOK.body.strong(), half)),
        *_points(PROVES_NOT[facts.kind], half),
    ]
    head = BOOK.heading_strips(3, _("What this proves, and what not"), width)
    return [
        *head,
        *beside([(0.0, left), (half + GAP, right)]),
        *_record(facts, width),
        *_claim(facts, width),
    ]


def _points(texts: tuple[str, ...], width: float) -> list[Strip]:
    return points([_(text) for text in texts], BOOK.body, width, mark="–")


def _record(facts: DrillFacts, width: float) -> list[Strip]:
    """This very pair of builds."""
    record = facts.record
    if record is None or not record.trials:
        return []
    said = many(
        "This pair of builds: {passes} of {trials} try passed, at least {lower} % (95 %, one-sided).",
        "This pair of builds: {passes} of {trials} tries passed, at least {lower} % (95 %, one-sided).",
        record.trials,
    ).format(
        passes=words.number(record.passes),
        trials=words.number(record.trials),
        lower=words.number(record.lower_percent),
    )
    return paragraph(said, BOOK.body, width, gap=2 * MM)


def _claim(facts: DrillFacts, width: float) -> list[Strip]:
    """What drills of this family pair allow to be said of homes, and the trials themselves as squares."""
    claim = facts.claim
    if claim is None:
        said = _(
            "Nothing may be claimed of other homes: no bench or live drill of these families is on record."
        )
        return paragraph(said, BOOK.body, width, gap=MM)
    strips = paragraph(_claimed(claim), BOOK.body.strong(), width, gap=MM)
    squares = trials_strip(claim.passes, claim.trials, width, gap=MM)
    more = claim.trials - most_drawn(width)
    rest = _("and {n} more").format(n=words.number(more)) if more > 0 else ""
    return [*strips, squares, *paragraph(rest, BOOK.label, width)]


def _claimed(claim: Claim) -> str:
    if claim.failing_percent is None:
        said = _(
            "From family {families}: {passes} of {trials} drills passed. Some failed, so no share of failing homes "
            "may be claimed."
        )
        return said.format(
            families=claim.families, passes=words.number(claim.passes), trials=words.number(claim.trials)
        )
    said = many(
        "From family {families}: {trials} drill, none failed. Of homes drawn at random at most {percent} % would "
        "fail (1 − 0.05^(1/n), 95 %).",
        "From family {families}: {trials} drills, none failed. Of homes drawn at random at most {percent} % would "
        "fail (1 − 0.05^(1/n), 95 %).",
        claim.trials,
    )
    return said.format(
        families=claim.families,
        trials=words.number(claim.trials),
        percent=words.number(claim.failing_percent),
    )


def _afterwards(facts: DrillFacts, width: float) -> list[Strip]:
    head = BOOK.heading_strips(4, _("The next drill"), width)
    return [*head, *paragraph(_next(facts.next_drill), BOOK.body.strong(), width)]


def _next(due: NextDrill | None) -> str:
    if due is None:
        return _("No agreement is in force, so no day is agreed.")
    every = words.counted(many("every {n} day", "every {n} days", due.interval_days), due.interval_days)
    if due.due_on is None:
        return _("Agreed {every}; no bench or live drill counts yet, so one is due now.").format(every=every)
    line = (
        _("Agreed {every}; it was due on {day} and is OVERDUE.")
        if due.overdue
        else _("Agreed {every}; due by {day}.")
    )
    return line.format(every=every, day=words.day(due.due_on))


def _signatures(width: float) -> list[Strip]:
    block = signature_block(
        BOOK, ((_("Held by"), _("Seen by")), (_("Place"), _("Date and time"))), width, gap=MM
    )
    return [*BOOK.heading_strips(5, _("Signatures"), width), block]
