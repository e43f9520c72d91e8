"""The figures of a month, each with its n, the month before beside it."""

from collections.abc import Callable
from decimal import Decimal

from babel.numbers import format_decimal

from reports.drawing import words
from reports.drawing.blocks import MM, paragraph
from reports.drawing.language import _, locale, many
from reports.drawing.looks import BOOK
from reports.drawing.strips import Strip
from reports.drawing.tables import Cell, rows_only, table
from reports.drawing.type import Spans
from reports.facts.digest import Ages, DigestFacts, Drills, Figures, Money, Swaps, Times

SHARES = (0.3, 0.39, 0.31)
MINUTE_PLACES = Decimal(1)
FEW = 20
Say = Callable[[Figures], Spans]


def figures_section(number: int, facts: DigestFacts, width: float) -> list[Strip]:
    """One row a figure."""
    heads = (
        _("Figure"),
        _("At the end of {day}").format(day=words.day(facts.now.day)),
        _("A month before: {day}").format(day=words.day(facts.before.day)),
    )
    rows: list[list[Cell]] = [
        [((label, BOOK.body.strong()),), say(facts.now), before(facts.before)]
        for label, say, before in _rows(facts)
    ]
    note = _(
        "Covered: could be brought back within what was promised. States are those the rounds found by then; copies "
        "count by when they were taken, once they had landed. Drills, swaps and minutes: twelve months up to the day."
    )
    return [
        *BOOK.heading_strips(number, _("The figures"), width),
        *table(rows_only(SHARES, rows, heads), BOOK.table, width),
        *paragraph(note, BOOK.label, width, gap=MM),
    ]


def _rows(facts: DigestFacts) -> tuple[tuple[str, Say, Say], ...]:
    """Label, what it says now, and what it said before, some of it in fewer words."""
    papers, families = facts.papers, facts.families
    unsigned = many(
        "{unsigned} of {n} hand-over sheet in force; {stale} out of date",
        "{unsigned} of {n} hand-over sheets in force; {stale} out of date",
        papers.handovers,
    )
    signed = words.counted(
        unsigned, papers.handovers, unsigned=words.number(papers.unsigned), stale=words.number(papers.stale)
    )
    short = [each.name for each in families if each.stock_95 is not None and each.ready < each.stock_95]
    return (
        (_("Homes covered"), _covered, _covered),
        (_("Joining the others anew"), _money, _money),
        (_("Age of the newest sound copy"), lambda now: _ages(now.ages), lambda now: _ages(now.ages)),
        (_("Proven within 12 months"), _proven, _proven),
        (_("Drills passed"), lambda now: _drills(now.drills), lambda now: _drills(now.drills)),
        (_("Time to restore, in drills"), lambda now: _times(now.times), lambda now: _times(now.times)),
        (_("Swaps accepted"), lambda now: _swaps(now.swaps), lambda now: _swaps(now.swaps)),
        (_("Under 20\u00a0% headroom"), _tight, _tight),
        (_("Spare cover"), lambda now: _spares(short, len(families)), lambda now: _none()),
        (_("Waiting in the tray"), _waiting, _waiting),
        (
            _("Unsigned sheets"),
            lambda now: BOOK.value(signed if papers.handovers else _("no hand-over sheet is in force")),
            lambda now: _none(),
        ),
    )


def _none() -> Spans:
    return BOOK.value(None)


def _covered(figures: Figures) -> Spans:
    standing = figures.standing
    if not standing.judged:
        return _none()
    parts = [(_of_homes(standing.held, standing.judged), BOOK.body.strong())]
    rest = [
        words.counted(
            many("{n} with work by hand", "{n} with work by hand", standing.by_hand), standing.by_hand
        )
        if standing.by_hand
        else "",
        words.counted(many("{n} not judged yet", "{n} not judged yet", standing.unjudged), standing.unjudged)
        if standing.unjudged
        else "",
    ]
    more = words.semicolons([part for part in rest if part])
    return (*parts, (f" ({more})", BOOK.body)) if more else tuple(parts)


def _money(figures: Figures) -> Spans:
    money = figures.money
    if not figures.standing.judged:
        return _none()
    if not money.homes:
        return BOOK.value(_("nothing: no home was uncovered"))
    homes = words.counted(many("{n} home", "{n} homes", money.homes), money.homes)
    if money.amount is None:
        return BOOK.value(_("{homes}; no sum is known").format(homes=homes))
    said = _("{amount} for {homes}, by today's devices and rate").format(
        amount=amount(money.amount, money), homes=homes
    )
    if money.not_known:
        said = _("{sum}; of {n} more no sum is known").format(sum=said, n=words.number(money.not_known))
    return BOOK.value(said)


def amount(value: Decimal, money: Money) -> str:
    """1,234.50 EUR"""
    places = max(0, -int(value.as_tuple().exponent))
    pattern = "#,##0" + ("." + "0" * places if places else "")
    figure = format_decimal(value, format=pattern, locale=locale()).replace(
        words.NARROW_SPACE, words.FIXED_SPACE
    )
    return f"{figure}{words.FIXED_SPACE}{money.currency}"


def _ages(ages: Ages) -> Spans:
    without = (
        words.counted(many("{n} mesh without one", "{n} meshes without one", ages.without), ages.without)
        if ages.without
        else ""
    )
    if ages.median is None or ages.high is None:
        return BOOK.value(without or None)
    told = many(
        "half under {median}, 95\u00a0% under {high} ({n} mesh)",
        "half under {median}, 95\u00a0% under {high} ({n} meshes)",
        ages.n,
    )
    said = words.counted(told, ages.n, median=span(ages.median), high=span(ages.high))
    return BOOK.value(words.semicolons((said, without)) if without else said)


def span(hours: Decimal) -> str:
    """14.5 h, 3.2 days"""
    if hours < 48:
        return _("{hours}\u00a0h").format(hours=words.number(hours))
    days = (hours / 24).quantize(Decimal("0.1"))
    return _("{days}\u00a0days").format(days=words.number(days))


def _proven(figures: Figures) -> Spans:
    homes = figures.standing.judged + figures.standing.unjudged
    if not homes:
        return _none()
    return BOOK.value(_of_homes(figures.proven, homes))


def _drills(drills: Drills) -> Spans:
    if not drills.trials:
        return BOOK.value(_("none on the bench or in a home"))
    told = many(
        "{passes} of {n}; at least {lower}\u00a0% would pass (95\u00a0%, one-sided)",
        "{passes} of {n}; at least {lower}\u00a0% would pass (95\u00a0%, one-sided)",
        drills.trials,
    )
    passes, lower = words.number(drills.passes), words.number(drills.lower or Decimal(0))
    said = [words.counted(told, drills.trials, passes=passes, lower=lower)]
    if drills.failing_at_most is not None:
        failing = _("of homes drawn at random at most {share}\u00a0% would fail")
        said.append(failing.format(share=words.number(drills.failing_at_most)))
    now = many("{n} in this month", "{n} in this month", drills.in_month)
    return BOOK.value(words.semicolons([*said, words.counted(now, drills.in_month)]))


def _times(times: Times) -> Spans:
    return BOOK.value(_timed(times) or _("no drill with minutes"))


def _timed(times: Times) -> str:
    if times.median is None or times.high is None:
        return ""
    told = many(
        "half within {median}, 90\u00a0% within {high} ({n} time)",
        "half within {median}, 90\u00a0% within {high} ({n} times)",
        times.n,
    )
    said = words.counted(told, times.n, median=_minutes(times.median), high=_minutes(times.high))
    if not times.promised:
        return words.semicolons((said, _("no promise to hold them against")))
    kept = _("{kept} of {promised} within the promise").format(
        kept=words.number(times.kept), promised=words.number(times.promised)
    )
    return words.semicolons((said, kept))


def _swaps(swaps: Swaps) -> Spans:
    undone = words.counted(
        many("{n} backed out or stranded", "{n} backed out or stranded", swaps.undone), swaps.undone
    )
    if not swaps.accepted:
        return BOOK.value(words.semicolons([_("none"), *([undone] if swaps.undone else [])]))
    parts = [words.number(swaps.accepted), _timed(swaps.times), undone if swaps.undone else ""]
    return BOOK.value(words.semicolons([part for part in parts if part]))


def _minutes(value: Decimal) -> str:
    return words.minutes(int(value.quantize(MINUTE_PLACES)))


def _tight(figures: Figures) -> Spans:
    if not figures.tight_of:
        return _none()
    told = many(
        "{tight} of {n} mesh whose room is known",
        "{tight} of {n} meshes whose room is known",
        figures.tight_of,
    )
    return BOOK.value(words.counted(told, figures.tight_of, tight=words.number(figures.tight)))


def _spares(short: list[str], families: int) -> Spans:
    if not families:
        return _none()
    if not short:
        return BOOK.value(_("enough in every family, at 95\u00a0%, when this was issued"))
    return BOOK.value(_("too few of family {names}, when this was issued").format(names=words.commas(short)))


def _waiting(figures: Figures) -> Spans:
    told = many("{n} document", "{n} documents", figures.waiting)
    return BOOK.value(words.counted(told, figures.waiting) if figures.waiting else _("nothing"))


def _of_homes(part: int, whole: int) -> str:
    """31 of 38 homes (81.5\u00a0%); of few homes no per cent, which would say more than they can."""
    said = words.counted(
        many("{part} of {n} home", "{part} of {n} homes", whole), whole, part=words.number(part)
    )
    if whole < FEW:
        return said
    percent = Decimal(part * 1000 // whole) / 10  # rounded down, so that only all of them is 100
    return _("{said} ({percent}\u00a0%)").format(said=said, percent=words.number(percent))
