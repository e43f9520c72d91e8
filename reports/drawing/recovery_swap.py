"""Recovery, boxes 4 to 8: the two radios, the snapshot, the number, the one voice, the steps."""

from reports.drawing import cautions, words
from reports.drawing.blocks import MM, baseline, boxed, paragraph
from reports.drawing.looks import PLAIN
from reports.drawing.masthead import caution_box
from reports.drawing.pen import Pen
from reports.drawing.recovery_before import TIGHT
from reports.drawing.strips import Strip, beside
from reports.drawing.tables import Cell, Group, Mark, Table, table
from reports.drawing.type import one_line
from reports.facts.fingerprint import short_form
from reports.facts.radio import HeadRadio, Spare
from reports.facts.recovery import RecoveryFacts, Step
from reports.facts.snapshots import StartValue

HALF_WAY = 2**31
END = 2**32 - 1
CLOCK = (
    "Began at ________. Stop and call the firm at ________: at twice the target, or when somebody is unsafe."
)
NO_RETURN = "POINT OF NO RETURN: once the new radio is on air, the old one is deaf without a new number"


def radio_section(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """The radio that stands there and the spare that fits, side by side."""
    half = (width - 5 * MM) / 2
    left = [
        *paragraph("The radio now", PLAIN.body.strong(), half),
        *PLAIN.pairs(_radio(facts.radio), half, across=1),
    ]
    right = [*paragraph("The spare for it", PLAIN.body.strong(), half), *_spare(facts.spare, half)]
    return [
        *PLAIN.heading_strips(number, "The two radios", width),
        *beside([(0.0, left), (half + 5 * MM, right)]),
    ]


def _radio(radio: HeadRadio) -> list[tuple[str, Cell]]:
    dbm = f"power {words.NOT_RECORDED}" if radio.power_dbm is None else f"{radio.power_dbm:+d}\u00a0dBm"
    power = f"{dbm}, {radio.region}" if radio.region else dbm
    family = f" (family {radio.family})" if radio.family else ""
    name = radio.model or f"model {words.NOT_RECORDED}"
    model = f"{name}{family}, build {radio.firmware or words.NOT_RECORDED}"
    feed = [radio.feed or f"feed {words.NOT_RECORDED}", f"breaker {radio.breaker or words.NOT_RECORDED}"]
    return [
        ("Model", PLAIN.value(model)),
        ("Connection", PLAIN.value(radio.connection)),
        ("Carries", PLAIN.identifier(radio.carried_address)),
        ("On its label", PLAIN.identifier(radio.factory_address)),
        ("Serial, power", PLAIN.value(f"{radio.serial or words.NOT_RECORDED}; {power}")),
        ("Feed", PLAIN.value(", ".join(feed))),
    ]


def _spare(spare: Spare | None, width: float) -> list[Strip]:
    if spare is None:
        said = "NONE IS ASSIGNED. Call the office before you drive: without a fitting spare go to box 12."
        return paragraph(said, PLAIN.body.strong(), width)
    judged = f", {words.day(spare.verdict_on)}" if spare.verdict_on else ""
    blank = " ".join(
        part for part in (spare.blank_by, words.day(spare.blank_on) if spare.blank_on else None) if part
    )
    rows: list[tuple[str, Cell]] = [
        ("Where", ((spare.where, PLAIN.body.strong()),) if spare.where else PLAIN.value(None)),
        ("Model", PLAIN.value(f"{spare.model}, build {spare.firmware or words.NOT_RECORDED}")),
        ("Serial", PLAIN.value(spare.serial)),
        ("Verdict", PLAIN.value(spare.verdict + judged if spare.verdict else None)),
        ("Blank by", PLAIN.value(blank or None)),
    ]
    return PLAIN.pairs(rows, width, across=1)


def snapshot_and_number(facts: RecoveryFacts, width: float) -> list[Strip]:
    """Box 5 and box 6 side by side: which copy, and which number goes into it."""
    half = (width - 5 * MM) / 2
    left = [*PLAIN.heading_strips(5, "Snapshot to use", half), *_snapshot(facts, half)]
    right = [*PLAIN.heading_strips(6, "Number to write", half), *_number(facts, half)]
    return beside([(0.0, left), (half + 5 * MM, right)], PLAIN.section_gap)


def _snapshot(facts: RecoveryFacts, width: float) -> list[Strip]:
    return [*_chosen(facts, width), *_locked_out(facts, width)]


def _chosen(facts: RecoveryFacts, width: float) -> list[Strip]:
    mark = facts.snapshot
    if mark is None:
        said = "NO SOUND SNAPSHOT. This mesh cannot be restored: go to box 12."
        return paragraph(said, PLAIN.body.strong(), width)
    zone = facts.issue.issued_at.tzinfo
    there = words.offset(mark.taken_at.astimezone(zone))
    taken = f"{words.moment(mark.taken_at, zone)} ({facts.home.zone}, {there})"
    nodes = f"nodes {words.NOT_RECORDED}" if mark.nodes is None else words.count(mark.nodes, "node")
    key_mark = facts.mesh.key_mark
    rows: list[tuple[str, Cell]] = [
        ("Taken", ((taken, PLAIN.body.strong()),)),
        ("Digest", ((short_form(mark.digest), PLAIN.fixed),)),
        ("Grade, nodes", PLAIN.value(f"{mark.grade}, {nodes}")),
        ("Key sequence", PLAIN.value(None if mark.key_sequence is None else str(mark.key_sequence))),
        ("Key mark", ((words.grouped(key_mark), PLAIN.fixed),) if key_mark else PLAIN.value(None)),
    ]
    return PLAIN.pairs(rows, width, across=1)


def _locked_out(facts: RecoveryFacts, width: float) -> list[Strip]:
    if facts.locked_out is None:
        return _do_not_use("not judged yet; ask the office", width)
    if not facts.locked_out:
        return _do_not_use("no other copy is locked out", width)
    return [strip for each in facts.locked_out for strip in _do_not_use(f"{each.which}: {each.why}", width)]


def _do_not_use(what: str, width: float) -> list[Strip]:
    return paragraph((("Do NOT use: ", PLAIN.body.strong()), (what, PLAIN.body)), PLAIN.body, width, gap=MM)


def _number(facts: RecoveryFacts, width: float) -> list[Strip]:
    start = facts.start_value
    if start is None:
        said = "NOT RECORDED. Do not write a number of your own making: call the office."
        return [*paragraph(said, PLAIN.body.strong(), width), _write_in(width)]
    issued = facts.issue.issued_at
    number = paragraph(((words.thousands(start.at_issue), PLAIN.title),), PLAIN.title, width)
    per_day = words.thousands(start.per_day)
    rule = f"on {words.day(issued)} at {issued:%H:%M}, and {per_day} more for each further day begun."
    basis = paragraph(start.basis, PLAIN.body, width) if start.basis else []
    never = "Never write the number in the file. Never use a number twice."
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
        return "THE COUNTER IS AT ITS END: do not restore. The network key must be changed; call the office."
    if start.at_issue >= HALF_WAY:
        return "Past half of the counter's range: change the network key soon after."
    return ""


def _write_in(width: float) -> Strip:
    label = one_line("Number really written, by whom, when:", PLAIN.label)
    height = 15 * MM

    def draw(pen: Pen, x: float, top: float) -> None:
        pen.frame(x, top - height, width, height - MM, 1.2)
        pen.line(label, x + MM, baseline(top - MM, PLAIN.label))

    return Strip(height, draw)


def caution_section(width: float) -> list[Strip]:
    """Box 7."""
    box = caution_box(PLAIN, "7\u2002ONE IDENTITY, ONE VOICE", cautions.ONE_IDENTITY, width, TIGHT)
    return [Strip(box.height, box.draw, PLAIN.section_gap)]


def steps_section(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """The steps with target minutes, a column for the clock, and what to do when one stops."""
    total = words.minutes(sum(step.minutes for step in facts.steps))
    head = PLAIN.heading_strips(number, f"Steps, {total} in all" if facts.steps else "Steps", width)
    if not facts.steps:
        return [*head, *paragraph("No steps are recorded. Call the office.", PLAIN.body, width)]
    heads = ("", "Do", "Target", "Clock", "If it stops here")
    content = Table((0.032, 0.425, 0.08, 0.063, 0.4), _step_groups(facts.steps), heads)
    return [*head, *table(content, PLAIN.table, width), *_back_out(facts, width)]


def _step_groups(steps: tuple[Step, ...]) -> list[Group]:
    groups: list[tuple[str, list[list[Cell]]]] = [("", [])]
    for at, step in enumerate(steps, 1):
        if step.point_of_no_return:
            groups.append((NO_RETURN, []))
        do = ((f"{at}\u2002{step.do}", PLAIN.body.strong()),)
        row: list[Cell] = [Mark.TICK, do, words.minutes(step.minutes), "", PLAIN.value(step.if_it_stops)]
        groups[-1][1].append(row)
    after = "Past the point of no return, continued"
    return [Group(name, rows, after if name else "") for name, rows in groups if rows]


def _back_out(facts: RecoveryFacts, width: float) -> list[Strip]:
    way = facts.back_out
    said = "NOT JUDGED" if way is None else ("YES" if way.possible else "NO")
    why = "ask the office before step 4" if way is None else way.why
    spans = ((f"Can it be backed out? {said}: ", PLAIN.body.strong()), (why, PLAIN.body))
    lines = [
        *paragraph(spans, PLAIN.body, width - 2 * TIGHT),
        *paragraph(CLOCK, PLAIN.body, width - 2 * TIGHT),
    ]
    box = boxed(lines, width, thickness=1.2, padding=TIGHT)
    return [Strip(box.height, box.draw, 1.2 * MM)]
