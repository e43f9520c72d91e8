"""Recovery, boxes 4 to 8: the two radios, the snapshot, the number, the one voice, the steps."""

from dataclasses import replace

from reports.drawing import cautions, words
from reports.drawing.blocks import MM, baseline, boxed, paragraph
from reports.drawing.language import _, isolated, later, many
from reports.drawing.looks import PLAIN
from reports.drawing.masthead import caution_box
from reports.drawing.pen import Pen
from reports.drawing.recovery_before import TIGHT
from reports.drawing.saying import said
from reports.drawing.spare_words import built, spare_strips
from reports.drawing.strips import Strip, beside, held
from reports.drawing.tables import Cell, Group, Mark, Table, table
from reports.drawing.type import one_line
from reports.facts.fingerprint import short_form
from reports.facts.radio import HeadRadio
from reports.facts.recovery import RecoveryFacts, Step
from reports.facts.snapshots import StartValue

HALF_WAY = 2**31
END = 2**32 - 1
CLOCK = later(
    "Began at ________. Stop and call the firm at ________: at twice the target, or when somebody is unsafe."
)
NO_RETURN = later(
    "POINT OF NO RETURN: once the new radio is on air, the old one is deaf without a new number"
)


def radio_section(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """The radio that stands there and the spare that counts, side by side."""
    half = (width - 5 * MM) / 2
    left = [
        *paragraph(_("The radio now"), PLAIN.body.strong(), half),
        *PLAIN.pairs(_radio(facts.radio), half, across=1),
    ]
    right = spare_strips(facts.spare, facts.not_to_take, half)
    return [
        *PLAIN.heading_strips(number, _("The two radios"), width),
        *beside([(0.0, left), (half + 5 * MM, right)]),
    ]


def _radio(radio: HeadRadio) -> list[tuple[str, Cell]]:
    return [
        (_("Model"), PLAIN.value(_model(radio))),
        (_("Connection"), PLAIN.value(radio.connection)),
        (_("Carries"), PLAIN.identifier(radio.carried_address)),
        (_("On its label"), PLAIN.identifier(radio.factory_address)),
        (_("Serial, power"), PLAIN.value(_serial_and_power(radio))),
        (_("Feed"), PLAIN.value(_feed(radio))),
    ]


def _model(radio: HeadRadio) -> str:
    name = radio.model or _("model not recorded")
    if radio.family:
        name = _("{model} (family {family})").format(model=name, family=radio.family)
    return built(name, radio.firmware)


def _serial_and_power(radio: HeadRadio) -> str:
    dbm = _("power not recorded") if radio.power_dbm is None else f"{radio.power_dbm:+d}\u00a0dBm"
    power = words.commas([dbm, radio.region] if radio.region else [dbm])
    return words.semicolons([radio.serial or words.not_recorded(), power])


def _feed(radio: HeadRadio) -> str:
    breaker = _("breaker {breaker}").format(breaker=radio.breaker or words.not_recorded())
    return words.commas([radio.feed or _("feed not recorded"), breaker])


def snapshot_and_number(facts: RecoveryFacts, width: float) -> list[Strip]:
    """Box 5 and box 6 side by side: which copy, and which number goes into it."""
    half = (width - 5 * MM) / 2
    left = [*PLAIN.heading_strips(5, _("Snapshot to use"), half), *_snapshot(facts, half)]
    right = [*PLAIN.heading_strips(6, _("Number to write"), half), *_number(facts, half)]
    return beside([(0.0, left), (half + 5 * MM, right)], PLAIN.section_gap)


def _snapshot(facts: RecoveryFacts, width: float) -> list[Strip]:
    return [*_chosen(facts, width), *_locked_out(facts, width)]


def _chosen(facts: RecoveryFacts, width: float) -> list[Strip]:
    mark = facts.snapshot
    if mark is None:
        told = _("NO SOUND SNAPSHOT. This mesh cannot be restored: go to box 12.")
        return paragraph(told, PLAIN.body.strong(), width)
    zone = facts.issue.issued_at.tzinfo
    there = words.offset(mark.taken_at.astimezone(zone))
    taken = _("{moment} ({zone}, {offset})").format(
        moment=words.moment(mark.taken_at, zone), zone=facts.home.zone, offset=there
    )
    key_mark = facts.mesh.key_mark
    rows: list[tuple[str, Cell]] = [
        (_("Taken"), ((taken, PLAIN.body.strong()),)),
        (_("Digest"), ((short_form(mark.digest), PLAIN.fixed),)),
        (_("Grade, nodes"), PLAIN.value(words.commas([said(mark.grade), _nodes(mark.nodes)]))),
        (_("Key sequence"), PLAIN.value(None if mark.key_sequence is None else str(mark.key_sequence))),
        (_("Key mark"), ((words.grouped(key_mark), PLAIN.fixed),) if key_mark else PLAIN.value(None)),
    ]
    return PLAIN.pairs(rows, width, across=1)


def _nodes(number: int | None) -> str:
    if number is None:
        return _("nodes not recorded")
    return words.counted(many("{n} node", "{n} nodes", number), number)


def _locked_out(facts: RecoveryFacts, width: float) -> list[Strip]:
    if facts.locked_out is None:
        return _do_not_use(_("not judged yet; ask the office"), width)
    if not facts.locked_out:
        return _do_not_use(_("no other copy is locked out"), width)
    told = [
        _("{which}: {why}").format(which=said(each.which), why=said(each.why)) for each in facts.locked_out
    ]
    return [strip for each in told for strip in _do_not_use(each, width)]


def _do_not_use(what: str, width: float) -> list[Strip]:
    label = _("Do NOT use:")
    spans = ((f"{label} ", PLAIN.body.strong()), (isolated(what), PLAIN.body))
    return paragraph(spans, PLAIN.body, width, gap=MM)


def _number(facts: RecoveryFacts, width: float) -> list[Strip]:
    start = facts.start_value
    if start is None:
        told = _("NOT RECORDED. Do not write a number of your own making: call the office.")
        return [*paragraph(told, PLAIN.body.strong(), width), _write_in(width)]
    issued = facts.issue.issued_at
    large = replace(PLAIN.title, level=0)
    number = paragraph(((words.thousands(start.at_issue), large),), large, width)
    rule = _("on {day} at {time}, and {more} more for each further day begun.").format(
        day=words.day(issued), time=words.clock(issued), more=words.thousands(start.per_day)
    )
    basis = paragraph(said(start.basis), PLAIN.body, width) if start.basis else []
    never = _("Never write the number in the file. Never use a number twice.")
    return [
        *number,
        *paragraph(rule, PLAIN.body, width),
        *basis,
        *paragraph(never, PLAIN.body.strong(), width),
        *paragraph(_ceiling(start), PLAIN.body.strong(), width),
        _write_in(width),
    ]


def _ceiling(start: StartValue) -> str:
    if start.at_issue >= END:
        return _(
            "THE COUNTER IS AT ITS END: do not restore. The network key must be changed; call the office."
        )
    if start.at_issue >= HALF_WAY:
        return _("Past half of the counter's range: change the network key soon after.")
    return ""


def _write_in(width: float) -> Strip:
    label = one_line(_("Number really written, by whom, when:"), PLAIN.label)
    height = 15 * MM

    def draw(pen: Pen, x: float, top: float) -> None:
        pen.frame(x, top - height, width, height - MM, 1.2)
        pen.line(label, x + MM, baseline(top - MM, PLAIN.label))

    return Strip(height, draw)


def caution_section(width: float) -> list[Strip]:
    """Box 7."""
    label = _("ONE IDENTITY, ONE VOICE")
    box = caution_box(PLAIN, f"7\u2002{label}", tuple(map(_, cautions.ONE_IDENTITY)), width, TIGHT)
    return [Strip(box.height, box.draw, PLAIN.section_gap)]


def steps_section(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """The steps with target minutes, a column for the clock, and what to do when one stops."""
    head = PLAIN.heading_strips(number, _("Steps"), width)
    if not facts.steps:
        return [*head, *paragraph(_("No steps are recorded. Call the office."), PLAIN.body, width)]
    heads = ("", _("Do"), _("Target"), _("Clock"), _("If it stops here"))
    content = Table((0.032, 0.425, 0.08, 0.063, 0.4), _step_groups(facts.steps), heads)
    times = held(paragraph(_times(facts), PLAIN.body, width))
    return [*head, *times, *table(content, PLAIN.table, width), *_back_out(facts, width)]


def _times(facts: RecoveryFacts) -> str:
    """The book's estimate and the sum of the targets count different things: both in one line, with the difference."""
    total = words.minutes(sum(step.minutes for step in facts.steps))
    taking = facts.taking
    if taking is None:
        return _(
            "No estimate. The steps' targets below add up to {total}, the way there not counted."
        ).format(total=total)
    driven = _(
        "Estimate {likely} ({low} to {high}), the way there {travel} of it; finding the fault and full settling count. "
        "The steps' targets below add up to {total}: without those, with the wake-up walk."
    )
    sent = _(
        "Estimate {likely} ({low} to {high}) once the spare is there: it lies {travel} away, have it sent; finding the "
        "fault and full settling count. The steps' targets below add up to {total}: without those, with the wake-up "
        "walk."
    )
    told = sent if taking.sent else driven
    low, likely, high, travel = (
        words.minutes(each) for each in (taking.low, taking.likely, taking.high, taking.travel)
    )
    return told.format(likely=likely, low=low, high=high, travel=travel, total=total)


def _step_groups(steps: tuple[Step, ...]) -> list[Group]:
    groups: list[tuple[str, list[list[Cell]]]] = [("", [])]
    for at, step in enumerate(steps, 1):
        if step.point_of_no_return:
            groups.append((_(NO_RETURN), []))
        do = ((f"{at}\u2002{isolated(said(step.do))}", PLAIN.body.strong()),)
        row: list[Cell] = [Mark.TICK, do, words.minutes(step.minutes), "", PLAIN.value(step.if_it_stops)]
        groups[-1][1].append(row)
    after = _("Past the point of no return, continued")
    return [Group(name, rows, after if name else "") for name, rows in groups if rows]


def _back_out(facts: RecoveryFacts, width: float) -> list[Strip]:
    way = facts.back_out
    if way is None:
        told, why = _("Can it be backed out? NOT JUDGED:"), _("ask the office before step 4")
    else:
        told = _("Can it be backed out? YES:") if way.possible else _("Can it be backed out? NO:")
        why = said(way.why)
    spans = ((f"{told} ", PLAIN.body.strong()), (isolated(why), PLAIN.body))
    lines = [
        *paragraph(spans, PLAIN.body, width - 2 * TIGHT),
        *paragraph(_(CLOCK), PLAIN.body, width - 2 * TIGHT),
    ]
    box = boxed(lines, width, thickness=1.2, padding=TIGHT)
    return [Strip(box.height, box.draw, 1.2 * MM)]
