"""Job sheet, at its end: the log that is filled in by hand, and the signatures."""

from reports.drawing.blocks import paragraph
from reports.drawing.language import _, later
from reports.drawing.looks import PLAIN
from reports.drawing.signing import log_rows, signature_block
from reports.drawing.strips import Strip, held
from reports.facts.job import JobFacts

LOGGED = (
    later("Arrived; people told, fall-backs agreed"),
    later("Last snapshot of the old radio"),
    later("Old radio off, battery out, photographed"),
    later("Number written (write it here)"),
    later("New radio on air"),
    later("Routers settled, how many"),
    later("Wake-up list walked, how many late"),
    later("Safety devices tested by hand"),
    later("Accepted, or backed out"),
    later("New snapshot taken"),
)


def log_section(number: int, facts: JobFacts, width: float) -> list[Strip]:
    """Times as they were, on the clock of the home."""
    said = _("Log, on the clock of {zone}").format(zone=facts.home.zone)
    names = [_(text) for text in LOGGED]
    heads = (_("What"), _("Clock"), _("By"), _("Number, count or remark"))
    rows = log_rows(PLAIN, names, heads, (0.42, 0.12, 0.16, 0.3), width)
    return [*PLAIN.heading_strips(number, said, width), *rows]


def signing_section(number: int, width: float) -> list[Strip]:
    """Who did it, who was the second, and the client or deputy."""
    head = PLAIN.heading_strips(number, _("Signatures"), width)
    said = _("Signed after the last line of the log, for this sheet's number and digest.")
    block = signature_block(
        PLAIN,
        (
            (_("Technician"), _("Second person")),
            (_("Client or deputy"), _("Place, date and time")),
        ),
        width,
    )
    return [*head, *held(paragraph(said, PLAIN.body, width)), block]
