"""Recovery, boxes 9 to 14: waking, accepting, what comes after, and what if nothing works."""

from datetime import date

from reports.drawing import cautions, words
from reports.drawing.blocks import MM, paragraph, points
from reports.drawing.language import _, isolated, later
from reports.drawing.looks import PLAIN
from reports.drawing.saying import said
from reports.drawing.strips import Strip, beside
from reports.drawing.tables import Cell, Mark, rows_only, table
from reports.facts.fingerprint import short_form
from reports.facts.fixed import Text
from reports.facts.recovery import Hours, RecoveryFacts, Rejoin, Sleeper

AFTER = (
    later("Fill in the log: times, number written, people"),
    later("New snapshot within the hour"),
    later("Wipe the old radio and record it: no bin for live keys"),
    later("Tell the office: a new sheet replaces this one"),
)


def wake_section(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """The battery devices: those that guard people first, then room by room, two side by side."""
    head = PLAIN.heading_strips(number, _("Wake-up list: battery devices"), width)
    if facts.sleepers is None:
        told = _("Not recorded. Walk every room; wake all that has a battery.")
        return [*head, *paragraph(told, PLAIN.body.strong(), width)]
    if not facts.sleepers:
        return [*head, *paragraph(_("None: no device of this mesh sleeps."), PLAIN.body, width)]
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
    heads = (
        "",
        _("SAFETY FIRST: hand test with a witness"),
        _("How to wake"),
        _("Silent up to"),
        _("Witness"),
    )
    return table(rows_only((0.032, 0.358, 0.28, 0.13, 0.2), rows, heads), PLAIN.table, width)


def _named(sleeper: Sleeper) -> str:
    if not sleeper.room:
        return sleeper.name
    return _("{room}: {name}").format(room=sleeper.room, name=sleeper.name)


def _silence(sleeper: Sleeper) -> str:
    longest = sleeper.longest_silence_minutes
    return words.not_recorded() if longest is None else words.minutes(longest)


def _others(sleepers: list[Sleeper], width: float) -> list[Strip]:
    if not sleepers:
        return []
    cells: list[list[Cell]] = [[Mark.TICK, _sleeper(sleeper)] for sleeper in sleepers]
    rows = [
        [*cells[at], *(cells[at + 1] if at + 1 < len(cells) else ["", ""])] for at in range(0, len(cells), 2)
    ]
    heads = ("", _("Room by room: how to wake; silent up to"), "", "")
    return table(rows_only((0.032, 0.468, 0.032, 0.468), rows, heads), PLAIN.table, width, gap=MM)


def _sleeper(sleeper: Sleeper) -> Cell:
    how = words.semicolons([sleeper.how or _("how, not recorded"), _silence(sleeper)])
    return ((isolated(_named(sleeper)), PLAIN.body.strong()), (f" {isolated(how)}", PLAIN.body))


def accept_and_after(facts: RecoveryFacts, width: float) -> list[Strip]:
    """Box 10 and box 11 side by side."""
    half = (width - 5 * MM) / 2
    left = [
        *PLAIN.heading_strips(10, _("Accept"), half),
        *points(_acceptance(facts), PLAIN.body, half, mark="–"),
    ]
    right = [
        *PLAIN.heading_strips(11, _("After"), half),
        *points(tuple(map(_, AFTER)), PLAIN.body, half, mark="–"),
    ]
    return beside([(0.0, left), (half + 5 * MM, right)], PLAIN.section_gap)


def _acceptance(facts: RecoveryFacts) -> list[str]:
    want = facts.accept
    power = facts.radio.power_dbm
    dbm = words.not_recorded() if power is None else f"{power:+d}\u00a0dBm"
    return [
        _("Routers: {number} due in 5 min; answered ______").format(number=_due(want.routers)),
        _("Sleepers: {number} due in 2 h (slow ones 26 h); answered ______").format(
            number=_due(want.sleepers)
        ),
        _("Safety devices: {number} due each by hand; tested ______").format(number=_due(want.safety)),
        _("Transmit power as before: {power}; now ______").format(power=dbm),
        _("Something late and unexplained: stay, or call."),
    ]


def _due(number: int | None) -> str:
    return _("(count not recorded)") if number is None else words.number(number)


def nothing_works(number: int, facts: RecoveryFacts, width: float) -> list[Strip]:
    """Join everything again: first what makes the house safe tonight, then in best order."""
    strong = PLAIN.body.strong()
    to_be_safe, in_all = _("To make the house safe tonight:"), _("All of it takes:")
    tonight = (
        (f"{to_be_safe} ", strong),
        (isolated(_("{acts}.").format(acts=_tonight(facts.safe_tonight))), PLAIN.body),
        (f" {in_all} ", strong),
        (isolated(_("{hours}.").format(hours=_estimate(facts.rejoin_hours))), PLAIN.body),
    )
    head = PLAIN.heading_strips(number, _("If nothing works: join again"), width)
    return [*head, *paragraph(tonight, PLAIN.body, width), *_order(facts.rejoin, width)]


def _tonight(acts: tuple[Text, ...] | None) -> str:
    if acts is None:
        return words.not_recorded()
    return words.semicolons([said(each) for each in acts]) or _("nothing more")


def _estimate(hours: Hours | None) -> str:
    if hours is None:
        return words.not_recorded()
    low, likely, high = (words.number(each) for each in (hours.low, hours.likely, hours.high))
    return _("{likely} hours, between {low} and {high}").format(likely=likely, low=low, high=high)


def _order(groups: tuple[Rejoin, ...] | None, width: float) -> list[Strip]:
    if groups is None:
        order = _("Order not recorded: routers from the head outwards, then sleepers, then locks.")
        return paragraph(order, PLAIN.body, width)
    strips: list[Strip] = []
    for at, group in enumerate(groups, 1):
        named = words.commas([said(each) for each in group.devices]) or _("none")
        label = _("{group}:").format(group=said(group.group))
        spans = ((f"{at}\u2002{label} ", PLAIN.body.strong()), (isolated(named), PLAIN.body))
        strips.extend(paragraph(spans, PLAIN.body, width))
    return strips


def closing(facts: RecoveryFacts, digest: str, width: float) -> list[Strip]:
    """Box 13 and box 14 side by side."""
    half = (width - 5 * MM) / 2
    left = [
        *PLAIN.heading_strips(13, _("Cautions"), half),
        *points(tuple(map(_, cautions.MAINS_AND_LADDERS)), PLAIN.body, half, mark="–"),
    ]
    marked = _("Digest {digits}.").format(digits=short_form(digest))
    life = (_validity(facts.valid_to), f"{marked} {_(cautions.NO_SECRETS)}")
    right = [*PLAIN.heading_strips(14, _("This sheet"), half), *points(life, PLAIN.body, half, mark="–")]
    return beside([(0.0, left), (half + 5 * MM, right)], PLAIN.section_gap)


def _validity(last: date | None) -> str:
    if last is None:
        return _(
            "Last day of validity not recorded; replaced when key, radio, channel, contact or spare changes."
        )
    told = _("Valid to {day}; replaced when key, radio, channel, contact or spare changes.")
    return told.format(day=words.day(last))
