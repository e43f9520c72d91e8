"""Recovery, boxes 9 to 14: waking, accepting, what comes after, and what if nothing works."""

from reports.drawing import cautions, words
from reports.drawing.blocks import MM, paragraph, points
from reports.drawing.looks import PLAIN
from reports.drawing.strips import Strip, beside
from reports.drawing.tables import Cell, Mark, rows_only, table
from reports.facts.fingerprint import short_form
from reports.facts.recovery import RecoveryFacts, Rejoin, Sleeper

AFTER = (
    "Fill in the log: times, number written, people",
    "New snapshot within the hour",
    "Wipe the old radio and record it: no bin for live keys",
    "Tell the office: a new sheet replaces this one",
)


def wake_section(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """The battery devices: those that guard people first, then room by room, two side by side."""
    head = PLAIN.heading_strips(number, "Wake-up list: battery devices", width)
    if facts.sleepers is None:
        said = "Not recorded. Walk every room; wake all that has a battery."
        return [*head, *paragraph(said, PLAIN.body.strong(), width)]
    if not facts.sleepers:
        return [*head, *paragraph("None: no device of this mesh sleeps.", PLAIN.body, width)]
    first = [sleeper for sleeper in facts.sleepers if sleeper.safety]
    others = [sleeper for sleeper in facts.sleepers if not sleeper.safety]
    return [*head, *_guards(first, width), *_others(others, width)]


def _guards(sleepers: list[Sleeper], width: float) -> list[Strip]:
    if not sleepers:
        return []
    rows: list[list[Cell]] = [
        [
            Mark.TICK,
            ((_named(sleeper), PLAIN.body.strong()),),
            PLAIN.value(sleeper.how),
            _silence(sleeper),
            "",
        ]
        for sleeper in sleepers
    ]
    heads = ("", "SAFETY FIRST: hand test with a witness", "How to wake", "Silent up to", "Witness")
    return table(rows_only((0.032, 0.358, 0.28, 0.13, 0.2), rows, heads), PLAIN.table, width)


def _named(sleeper: Sleeper) -> str:
    return f"{sleeper.room}: {sleeper.name}" if sleeper.room else sleeper.name


def _silence(sleeper: Sleeper) -> str:
    longest = sleeper.longest_silence_minutes
    return words.NOT_RECORDED if longest is None else words.minutes(longest)


def _others(sleepers: list[Sleeper], width: float) -> list[Strip]:
    if not sleepers:
        return []
    cells: list[list[Cell]] = [[Mark.TICK, _sleeper(sleeper)] for sleeper in sleepers]
    rows = [
        [*cells[at], *(cells[at + 1] if at + 1 < len(cells) else ["", ""])] for at in range(0, len(cells), 2)
    ]
    heads = ("", "Room by room: how to wake; silent up to", "", "")
    return table(rows_only((0.032, 0.468, 0.032, 0.468), rows, heads), PLAIN.table, width, gap=MM)


def _sleeper(sleeper: Sleeper) -> Cell:
    how = sleeper.how or f"how, {words.NOT_RECORDED}"
    return ((_named(sleeper), PLAIN.body.strong()), (f" {how}; {_silence(sleeper)}", PLAIN.body))


def accept_and_after(facts: RecoveryFacts, width: float) -> list[Strip]:
    """Box 10 and box 11 side by side."""
    half = (width - 5 * MM) / 2
    left = [
        *PLAIN.heading_strips(10, "Accept", half),
        *points(_acceptance(facts), PLAIN.body, half, mark="–"),
    ]
    right = [*PLAIN.heading_strips(11, "After", half), *points(AFTER, PLAIN.body, half, mark="–")]
    return beside([(0.0, left), (half + 5 * MM, right)], PLAIN.section_gap)


def _acceptance(facts: RecoveryFacts) -> list[str]:
    want = facts.accept
    power = facts.radio.power_dbm
    return [
        f"Routers: {_due(want.routers, 'in 5 min')}; answered ______",
        f"Sleepers: {_due(want.sleepers, 'in 2 h (slow ones 26 h)')}; answered ______",
        f"Safety devices: {_due(want.safety, 'each by hand')}; tested ______",
        f"Transmit power as before: {f'{power:+d} dBm' if power is not None else words.NOT_RECORDED}; now ______",
        "Something late and unexplained: stay, or call.",
    ]


def _due(number: int | None, when: str) -> str:
    return f"count {words.NOT_RECORDED}, {when}" if number is None else f"{number} due {when}"


def nothing_works(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """Join everything again: first what makes the house safe tonight, then in best order."""
    strong = PLAIN.body.strong()
    hours = facts.rejoin_hours
    estimate = f"{hours.likely} hours, between {hours.low} and {hours.high}" if hours else words.NOT_RECORDED
    tonight = (
        ("To make the house safe tonight: ", strong),
        (f"{_tonight(facts.safe_tonight)}. ", PLAIN.body),
        ("All of it takes: ", strong),
        (f"{estimate}.", PLAIN.body),
    )
    head = PLAIN.heading_strips(number, "If nothing works: join again", width)
    return [*head, *paragraph(tonight, PLAIN.body, width), *_order(facts.rejoin, width)]


def _tonight(acts: tuple[str, ...] | None) -> str:
    return words.NOT_RECORDED if acts is None else "; ".join(acts) or "nothing more"


def _order(groups: tuple[Rejoin, ...] | None, width: float) -> list[Strip]:
    if groups is None:
        order = "Order not recorded: routers from the head outwards, then sleepers, then locks."
        return paragraph(order, PLAIN.body, width)
    strips: list[Strip] = []
    for at, group in enumerate(groups, 1):
        named = ", ".join(group.devices) or "none"
        spans = ((f"{at}\u2002{group.group}: ", PLAIN.body.strong()), (named, PLAIN.body))
        strips.extend(paragraph(spans, PLAIN.body, width))
    return strips


def closing(facts: RecoveryFacts, digest: str, width: float) -> list[Strip]:
    """Box 13 and box 14 side by side."""
    half = (width - 5 * MM) / 2
    left = [
        *PLAIN.heading_strips(13, "Cautions", half),
        *points(cautions.MAINS_AND_LADDERS, PLAIN.body, half, mark="–"),
    ]
    valid = f"Valid to {words.day(facts.valid_to)}" if facts.valid_to else "Last day of validity not recorded"
    life = (
        f"{valid}; replaced when key, radio, channel, contact or spare changes.",
        f"Digest {short_form(digest)}. {cautions.NO_SECRETS}",
    )
    right = [*PLAIN.heading_strips(14, "This sheet", half), *points(life, PLAIN.body, half, mark="–")]
    return beside([(0.0, left), (half + 5 * MM, right)], PLAIN.section_gap)
