"""Evidence from the book itself: who looked after the home, sheets issued, and the journal as an annex."""

from reports.drawing import words
from reports.drawing.blocks import MM, paragraph
from reports.drawing.evidence_words import SHEETS, by
from reports.drawing.faces import Family
from reports.drawing.items import signed_as
from reports.drawing.language import ENGLISH, _, many, tag
from reports.drawing.looks import BOOK
from reports.drawing.strips import Strip, held
from reports.drawing.tables import Cell, rows_only, table
from reports.drawing.type import Spans, Style
from reports.facts.evidence import Annex, Entry, EvidenceFacts, Paper

DIGEST = Style(Family.FIXED, 7.2, BOOK.body.leading)
MOST_CARERS = 30


def carers_section(number: int, facts: EvidenceFacts, width: float) -> list[Strip]:
    """Whoever wrote in the journal of the home."""
    head = BOOK.heading_strips(number, _("Who looked after the home"), width)
    if not facts.carers:
        return [*head, *paragraph(_("The journal names nobody in these days."), BOOK.body, width)]
    rows: list[list[Cell]] = [
        [by(each.name), words.number(each.lines), words.day(each.first), words.day(each.last)]
        for each in facts.carers[:MOST_CARERS]
    ]
    heads = (_("By name in the journal"), _("Lines"), _("First"), _("Last"))
    strips = [*head, *table(rows_only((0.46, 0.14, 0.2, 0.2), rows, heads), BOOK.table, width)]
    if (more := len(facts.carers) - MOST_CARERS) > 0:
        told = many("{n} more wrote fewer lines.", "{n} more wrote fewer lines.", more)
        strips += paragraph(words.counted(told, more), BOOK.body, width)
    return strips


def papers_section(number: int, facts: EvidenceFacts, width: float) -> list[Strip]:
    """Sheets issued in the period."""
    head = BOOK.heading_strips(number, _("Sheets issued"), width)
    if not facts.papers:
        return [*head, *paragraph(_("None was issued in these days."), BOOK.body, width)]
    heads = (_("Sheet"), _("Issued"), _("SHA-256 of the file"), _("Signed"))
    rows = [_paper(each) for each in facts.papers]
    return [*head, *table(rows_only((0.25, 0.17, 0.36, 0.22), rows, heads), BOOK.table, width)]


def _paper(each: Paper) -> list[Cell]:
    kind = words.commas([_(SHEETS[each.kind]), *([each.mesh_code] if each.mesh_code else [])])
    revision = _("revision {number}").format(number=words.number(each.revision))
    named: Cell = ((f"{each.number} ", BOOK.body.strong()), (words.commas([kind, revision]), BOOK.body))
    signed = [
        _("{name} ({role}), {day}").format(name=one.name, role=signed_as(one.role), day=words.day(one.at))
        for one in each.signed
    ]
    said: Cell = words.semicolons(signed) or _("no signature in the book")
    return [named, words.moment(each.issued_at, each.issued_at.tzinfo), _digest(each.sha256), said]


def _digest(sha256: str) -> Spans:
    """In eights, so that it can be compared by eye."""
    return ((" ".join(sha256[at : at + 8] for at in range(0, len(sha256), 8)), DIGEST),)


def annex_section(number: int, facts: EvidenceFacts, width: float) -> list[Strip]:
    """The journal: its digest first, then every line."""
    annex = facts.annex
    head = BOOK.heading_strips(number, _("Annex: the journal of this home"), width)
    if not annex.count:
        return [
            *head,
            *paragraph(_("The journal has no line about this home in these days."), BOOK.body, width),
        ]
    told = many(
        "{n} line. As a file, with one canonical JSON object (RFC 8785) a line and a line feed after each, it has the "
        "SHA-256 below: whoever holds the file can check that it is the one printed here.",
        "{n} lines. As a file, with one canonical JSON object (RFC 8785) a line and a line feed after each, they have "
        "the SHA-256 below: whoever holds the file can check that they are those printed here.",
        annex.count,
    )
    heads = (_("No."), _("When"), _("Who"), _("What"), _("About"))
    rows = [_entry(each) for each in annex.entries]
    return [
        *head,
        *held(paragraph(" ".join([words.counted(told, annex.count), *_verbatim()]), BOOK.body, width)),
        *held(paragraph(_digest(annex.sha256), DIGEST, width, gap=MM)),
        *_chained(annex, width),
        *table(rows_only((0.09, 0.2, 0.22, 0.35, 0.14), rows, heads), BOOK.table, width, gap=MM),
    ]


def _verbatim() -> list[str]:
    """The digest is one over these very words, so they are printed as they are."""
    english = tag().partition("-")[0].lower() == ENGLISH
    return (
        []
        if english
        else [_("What was done stands here in the book's own words, as in the file: in English.")]
    )


def _chained(annex: Annex, width: float) -> list[Strip]:
    """Where the lines stand in the chain of the whole journal."""
    if annex.chain is None:
        return []
    told = _(
        "The whole journal is a chain: the digest of each line holds the one before. The last of these lines is at "
        "place {place}, with the digest below. As long as the journal has that digest at that place, no line up to it "
        "was changed, moved or taken away since."
    ).format(place=words.number(annex.chain.place))
    return [
        *held(paragraph(told, BOOK.body, width)),
        *held(paragraph(_digest(annex.chain.digest), DIGEST, width, gap=MM)),
    ]


def _entry(each: Entry) -> list[Cell]:
    what = each.what
    if each.times > 1:
        what = _("{what}, {n} times that day").format(what=each.what, n=words.number(each.times))
    when = f"{each.at:%Y-%m-%d %H:%M}"
    return [str(each.number), when, by(each.who), what, each.subject]
