"""The erasure certificate: what was erased, how, by whom, what remains, and what the client can do."""

from reports.drawing import words
from reports.drawing.blocks import MM, paragraph, points
from reports.drawing.erasure_words import METHOD, NEVER_SEALED, NO_PURGE_YET, PURGE, YOU_CAN, gone, remaining
from reports.drawing.faces import Family
from reports.drawing.items import firm_name
from reports.drawing.language import _, isolated, later, many, speaking
from reports.drawing.looks import BOOK
from reports.drawing.masthead import QR_SIZE, issued_words, masthead, stamp
from reports.drawing.sheet import Margins, Paper, column_width, write
from reports.drawing.signing import signature_block
from reports.drawing.strips import Strip, beside, held
from reports.drawing.tables import Cell, Group, Table, rows_only, table
from reports.drawing.type import Style
from reports.facts.erasure import ErasedCopy, ErasureFacts

TITLE = later("Erasure certificate")
GAP = 8 * MM
LARGE = Style(Family.BOOK, 13, 6 * MM, bold=True)
DIGEST = Style(Family.FIXED, 7.6, 4 * MM)
QUARTER = 16


def draw(facts: ErasureFacts, paper: Paper) -> bytes:
    """The certificate as a PDF. Equal facts give equal octets. The list of digests runs on over as many pages."""
    with speaking(facts.home.language):
        return _draw(facts, paper)


def _draw(facts: ErasureFacts, paper: Paper) -> bytes:
    margins = Margins()
    width = column_width(paper, margins)
    stamped = stamp(_(TITLE), facts.home.code, facts)
    strips = [
        *masthead(_title(facts, width - QR_SIZE), stamped, width),
        *_what_and_who(facts, width),
        *_how(facts, width),
        *_remains(facts, width),
        *_you_can(width),
        *_signatures(facts, width),
        *_digests(facts.copies, width),
    ]
    return write(strips, paper, margins, stamped.running(BOOK), stamped.about())


def _title(facts: ErasureFacts, width: float) -> list[Strip]:
    code = Style(Family.FIXED, BOOK.title.size - 5, BOOK.title.leading)
    made = issued_words(facts.issue, facts.home.zone)
    return [
        *paragraph(((f"{_(TITLE)} ", BOOK.title), (isolated(facts.home.code), code)), BOOK.title, width),
        *paragraph(_statement(facts), LARGE, width),
        *paragraph(made, BOOK.body, width),
    ]


def _statement(facts: ErasureFacts) -> str:
    said = _("All that {firm} held under seal for {client} was erased on {day} at {clock}.")
    return said.format(
        firm=firm_name(facts.firm),
        client=facts.home.client_name,
        day=words.weekday(facts.erased_at),
        clock=words.clock(facts.erased_at),
    )


def _what_and_who(facts: ErasureFacts, width: float) -> list[Strip]:
    half = (width - GAP) / 2
    lines = [gone(each) for each in facts.gone]
    none = paragraph(_("There was nothing to erase."), BOOK.body, half)
    left = [
        *BOOK.heading_strips(1, _("What was erased"), half),
        *(points(lines, BOOK.body, half, mark="–") if lines else none),
    ]
    right = [*BOOK.heading_strips(2, _("Who did it"), half), *_who(facts, half)]
    return beside([(0.0, left), (half + GAP, right)], BOOK.section_gap)


def _who(facts: ErasureFacts, width: float) -> list[Strip]:
    zone = words.commas([facts.home.zone, words.offset(facts.erased_at)])
    rows: list[tuple[str, Cell]] = [
        (_("When"), BOOK.value(f"{words.moment(facts.erased_at, facts.erased_at.tzinfo)} ({zone})")),
        (_("By"), BOOK.value(facts.by)),
        (_("Second person"), BOOK.value(facts.second)),
        (_("Ground"), BOOK.value(facts.reason)),
        (_("Mark of the client"), ((facts.mark, BOOK.fixed),)),
    ]
    return BOOK.pairs(rows, width, across=1)


def _how(facts: ErasureFacts, width: float) -> list[Strip]:
    head = BOOK.heading_strips(3, _("How"), width)
    if not facts.sealed:
        return [*head, *paragraph(_(NEVER_SEALED), BOOK.body, width)]
    claim = BOOK.body.strong() if facts.still_opens else BOOK.body
    return [
        *head,
        *paragraph(_(METHOD), BOOK.body, width),
        *paragraph(_(NO_PURGE_YET if facts.still_opens else PURGE), claim, width, gap=MM),
    ]


def _remains(facts: ErasureFacts, width: float) -> list[Strip]:
    rows: list[list[Cell]] = []
    for each in facts.remains:
        said = remaining(each)
        rows.append([((said.what, BOOK.body.strong()),), said.where, said.until, said.helps])
    heads = (_("What remains"), _("Where, and what it holds"), _("Stays until"), _("What helps"))
    head = BOOK.heading_strips(4, _("What remains, and why"), width)
    if not rows:
        return [*head, *paragraph(_("Nothing remains by the book."), BOOK.body, width)]
    return [*head, *table(rows_only((0.27, 0.27, 0.21, 0.25), rows, heads), BOOK.table, width)]


def _you_can(width: float) -> list[Strip]:
    head = BOOK.heading_strips(5, _("What you can do"), width)
    return [*head, *points([_(text) for text in YOU_CAN], BOOK.body, width, mark="–")]


def _signatures(facts: ErasureFacts, width: float) -> list[Strip]:
    said = _("Both name the same act: client {mark}, {number} erased.").format(
        mark=facts.mark, number=_snapshots(len(facts.copies))
    )
    block = signature_block(
        BOOK, ((_("Who erased"), _("Second person")), (_("For the firm"), _("Place, date and time"))), width
    )
    return [
        *BOOK.heading_strips(6, _("Signatures"), width),
        *held(paragraph(said, BOOK.body, width)),
        block,
    ]


def _snapshots(count: int) -> str:
    return words.counted(many("{n} snapshot", "{n} snapshots", count), count)


def _digests(copies: tuple[ErasedCopy, ...], width: float) -> list[Strip]:
    """The annex: every copy by its mesh, so that a copy that turns up somewhere can be told."""
    if not copies:
        return []
    said = _("Digests of {snapshots} erased").format(snapshots=_snapshots(len(copies)))
    why = _(
        "SHA-256 of the octets as they came (FIPS 180-4). A copy that turns up anywhere can be told by it."
    )
    meshes = dict.fromkeys(each.mesh for each in copies)
    groups = [
        Group(mesh, [_row(each) for each in copies if each.mesh == mesh], _again(mesh)) for mesh in meshes
    ]
    heads = (_("Taken"), _("SHA-256"))
    return [
        *BOOK.heading_strips(7, said, width),
        *held(paragraph(why, BOOK.body, width)),
        *table(Table((0.22, 0.78), groups, heads), BOOK.table, width, gap=MM),
    ]


def _again(mesh: str) -> str:
    return _("{mesh}, continued").format(mesh=mesh)


def _row(each: ErasedCopy) -> list[Cell]:
    digest = each.sha256.upper()
    grouped = " ".join(digest[at : at + QUARTER] for at in range(0, len(digest), QUARTER))
    taken = f"{each.taken_at:%Y-%m-%d} {words.clock(each.taken_at)}"
    return [((taken, DIGEST),), ((grouped, DIGEST),)]
