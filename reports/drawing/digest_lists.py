"""What stands behind the figures of a month: homes, families of radios, agreements, rounds, the tray."""

from reports.drawing import words
from reports.drawing.blocks import MM, paragraph
from reports.drawing.digest_figures import amount, span
from reports.drawing.language import _, isolated, later, many
from reports.drawing.looks import BOOK
from reports.drawing.saying import said
from reports.drawing.state_words import state_name
from reports.drawing.strips import Strip
from reports.drawing.tables import Cell, rows_only, table
from reports.facts import terms
from reports.facts.digest import Cluster, DigestFacts, Family, Troubled, Unrecorded

UNRECORDED = {
    Unrecorded.CALLBACKS: later("callbacks within 30 days of a visit"),
    Unrecorded.FIRST_VISIT: later("homes mended at the first visit"),
    Unrecorded.HOURS: later("hours not billed"),
    Unrecorded.STOCK_BEFORE: later("the stock of spares at any earlier day"),
}
REASONS = {
    "unreadable": later("could not be read"),
    "unknown_layout": later("layout not known"),
    "wrong_home": later("belongs to another mesh"),
    "no_mesh": later("no such mesh"),
}


def troubled_section(number: int, facts: DigestFacts, width: float) -> list[Strip]:
    """Homes that were not covered, worst first."""
    head = BOOK.heading_strips(number, _("Homes not covered at the end of the month, worst first"), width)
    if not facts.troubled:
        none = _("None.") if facts.now.standing.judged else _("Not recorded: no home was judged by then.")
        return [*head, *paragraph(none, BOOK.body, width)]
    heads = (_("Home"), _("Why"), _("Cheapest help"), _("Joining anew"))
    rows = [_troubled(home, facts) for home in facts.troubled]
    content = rows_only((0.24, 0.36, 0.27, 0.13), rows, heads)
    return [*head, *table(content, BOOK.table, width), *_and_more(facts.troubled_left_out, width)]


def _and_more(left_out: int, width: float) -> list[Strip]:
    """That a list was cut, and by how much."""
    if not left_out:
        return []
    more = many("{n} more, not listed here.", "{n} more, not listed here.", left_out)
    return paragraph(words.counted(more, left_out), BOOK.body, width, gap=MM)


def _troubled(home: Troubled, facts: DigestFacts) -> list[Cell]:
    named: Cell = ((home.code, BOOK.body.strong()), (f" {isolated(home.client)}", BOOK.body))
    state = _("{state} since {day}.").format(
        state=words.sentence(state_name(home.state)), day=words.day(home.since)
    )
    reason = f" {isolated(said(home.reason))}" if home.reason else ""
    why: Cell = ((state, BOOK.body.strong()), (reason, BOOK.body))
    if home.act:
        act = said(home.act)
    elif home.stands_so:
        act = _("See the board.")
    else:
        act = _("It stands otherwise by now: see the board.")
    return [named, why, act, BOOK.value(None if home.cost is None else amount(home.cost, facts.now.money))]


def families_section(number: int, facts: DigestFacts, width: float) -> list[Strip]:
    """Failures per 100 radio-years with their bound, the largest cluster beside it, and spares against least stock."""
    head = BOOK.heading_strips(number, _("Radios by family: failures and spares"), width)
    if not facts.families:
        return [*head, *paragraph(_("No radio has served yet, and none lies on a shelf."), BOOK.body, width)]
    heads = (
        _("Family"),
        _("In service"),
        _("Failures per 100 radio-years"),
        _("Most failures close together"),
        _("Spares ready"),
        _("Least stock, 95\u00a0% and 99\u00a0%"),
    )
    shares = (0.1, 0.09, 0.31, 0.22, 0.12, 0.16)
    rows = [_family(each) for each in facts.families]
    note = _(
        "At most: one-sided 95\u00a0% bound, failures taken as independent; storms and bad updates are not, so read it "
        "with the failures that lie within seven days and 25 km. Least stock: for {days} days until a new radio comes, "
        "at the bound. Ready: blank, with firmware that is not barred, on a shelf or in a van. Spares are those of the "
        "day of issue."
    ).format(days=words.number(facts.lead_days))
    return [
        *head,
        *table(rows_only(shares, rows, heads), BOOK.table, width),
        *paragraph(note, BOOK.label, width, gap=MM),
    ]


def _family(each: Family) -> list[Cell]:
    stock: Cell = BOOK.value(None)
    if each.stock_95 is not None and each.stock_99 is not None:
        text = _("{at_95} and {at_99}").format(
            at_95=words.number(each.stock_95), at_99=words.number(each.stock_99)
        )
        short = each.ready < each.stock_95
        said_short = _("{stock}: TOO FEW").format(stock=text)
        stock = ((said_short, BOOK.body.strong()),) if short else text
    spares = _("{ready} of {spares}").format(ready=words.number(each.ready), spares=words.number(each.spares))
    return [
        ((each.name, BOOK.body.strong()),),
        words.number(each.in_service),
        _rate(each),
        _cluster(each.cluster, each.failures),
        spares,
        stock,
    ]


def _rate(each: Family) -> Cell:
    if each.rate is None or each.upper is None:
        return BOOK.value(_("no radio-year yet"))
    told = many(
        "{n} in {years} radio-years: {rate}, at most {upper}",
        "{n} in {years} radio-years: {rate}, at most {upper}",
        each.failures,
    )
    text = words.counted(
        told,
        each.failures,
        years=words.number(each.years),
        rate=words.number(each.rate),
        upper=words.number(each.upper),
    )
    few = _("Too few years to tell families apart.")
    return ((text + ". ", BOOK.body), (few, BOOK.body.strong())) if each.few else text


def _cluster(cluster: Cluster | None, failures: int) -> Cell:
    if cluster is None:
        return _("no two of them") if failures > 1 else _("none")
    if cluster.first == cluster.last:
        return words.counted(
            many("{n} on {day}", "{n} on {day}", cluster.size), cluster.size, day=words.day(cluster.first)
        )
    told = many("{n} from {first} to {last}", "{n} from {first} to {last}", cluster.size)
    return words.counted(told, cluster.size, first=words.day(cluster.first), last=words.day(cluster.last))


def tight_section(number: int, facts: DigestFacts, width: float) -> list[Strip]:
    """Meshes with less than 20\u00a0% left."""
    head = BOOK.heading_strips(number, _("Little room left: under 20\u00a0%"), width)
    if not facts.tight:
        none = _("None of those whose room is known.") if facts.now.tight_of else _("Not recorded.")
        return [*head, *paragraph(none, BOOK.body, width)]
    rows: list[list[Cell]] = []
    for each in facts.tight:
        use = _("{used} of {limit}").format(used=words.number(each.used), limit=words.number(each.limit))
        rows.append([((each.code, BOOK.body.strong()),), each.client, _resource(each.resource), use])
    heads = (_("Mesh"), _("Client"), _("Table"), _("In use"))
    content = rows_only((0.18, 0.4, 0.24, 0.18), rows, heads)
    return [*head, *table(content, BOOK.table, width), *_and_more(facts.tight_left_out, width)]


def _resource(code: str) -> str:
    term = terms.RESOURCES.get("devices" if code == "observed_ceiling" else code)
    return words.sentence(said(term)) if term else code


def ending_section(number: int, facts: DigestFacts, width: float) -> list[Strip]:
    """Agreements that end soon."""
    head = BOOK.heading_strips(number, _("Agreements that end within 90 days, with none to follow"), width)
    if not facts.ending:
        return [*head, *paragraph(_("None."), BOOK.body, width)]
    rows: list[list[Cell]] = []
    for each in facts.ending:
        notice = words.day(each.notice_by) if each.notice_by else None
        rows.append(
            [((each.code, BOOK.body.strong()),), each.client, words.day(each.ends_on), BOOK.value(notice)]
        )
    heads = (_("Home"), _("Client"), _("Ends"), _("Notice by"))
    content = rows_only((0.18, 0.4, 0.21, 0.21), rows, heads)
    return [*head, *table(content, BOOK.table, width), *_and_more(facts.ending_left_out, width)]


def rounds_section(number: int, facts: DigestFacts, width: float) -> list[Strip]:
    """Rounds that ran, broke off, met errors or were late."""
    head = BOOK.heading_strips(number, _("Rounds over the book"), width)
    rounds = facts.rounds
    if not rounds.ran:
        return [*head, *paragraph(_("No round began in this month."), BOOK.body, width)]
    late = many(
        "{n} wait for the next was over three hours",
        "{n} waits for the next were over three hours",
        rounds.late,
    )
    parts = [
        words.counted(many("{n} began", "{n} began", rounds.ran), rounds.ran),
        words.counted(many("{n} broke off", "{n} broke off", rounds.broken), rounds.broken)
        if rounds.broken
        else _("none broke off"),
        words.counted(
            many("{n} met errors at a mesh", "{n} met errors at a mesh", rounds.with_errors),
            rounds.with_errors,
        )
        if rounds.with_errors
        else _("none met an error"),
        words.counted(late, rounds.late) if rounds.late else _("none was late"),
    ]
    if rounds.longest is not None:
        parts.append(_("the longest wait was {time}").format(time=span(rounds.longest)))
    return [*head, *paragraph(words.sentence(words.semicolons(parts)) + ".", BOOK.body, width)]


def waiting_section(number: int, facts: DigestFacts, width: float) -> list[Strip]:
    """What waited in the tray."""
    head = BOOK.heading_strips(number, _("In the tray at the end of the month"), width)
    if not facts.waiting:
        return [*head, *paragraph(_("Nothing waited."), BOOK.body, width)]
    rows: list[list[Cell]] = [
        [_(REASONS[each.reason]), words.number(each.count), words.day(each.oldest)] for each in facts.waiting
    ]
    heads = (_("Why"), _("Documents"), _("The oldest since"))
    return [*head, *table(rows_only((0.5, 0.2, 0.3), rows, heads), BOOK.table, width)]


def unrecorded_section(number: int, facts: DigestFacts, width: float) -> list[Strip]:
    """What an owner would ask for and the book has no rows for."""
    head = BOOK.heading_strips(number, _("What this book does not record"), width)
    named = words.semicolons([_(UNRECORDED[each]) for each in facts.unrecorded])
    text = _("Not nought, but not recorded: {what}.").format(what=named)
    return [*head, *paragraph(text, BOOK.body, width)]
