"""The first box of a sheet for a mesh that a failed swap left stranded: a radio with power may be deaf."""

from reports.drawing import words
from reports.drawing.language import _, later
from reports.drawing.looks import PLAIN
from reports.drawing.masthead import caution_box
from reports.drawing.recovery_before import TIGHT
from reports.drawing.strips import Strip
from reports.facts.recovery import RecoveryFacts

STRANDED = (
    later(
        "A swap failed, and no copy since shows that devices answer: a radio that has power and a lit lamp may be deaf."
    ),
    later(
        "No radio goes on air without a new number, higher than any written (worked out anew): have the office give it."
    ),
    later(
        "Now: test locks, heating and alarms by hand; call the office; then write the new number before a radio "
        "speaks, or join the devices anew (box 12)."
    ),
)
CHECKS = later("The checks of box 3 then prove power and cable only, not that devices listen to the radio.")


def stranded_section(facts: RecoveryFacts, width: float) -> list[Strip]:
    """Nothing where the mesh is not stranded."""
    since = facts.stranded_since
    if since is None:
        return []
    label = _("STRANDED SINCE {moment}").format(moment=words.moment(since, facts.issue.issued_at.tzinfo))
    texts = (*STRANDED, CHECKS) if facts.checks else STRANDED
    box = caution_box(PLAIN, label, tuple(map(_, texts)), width, TIGHT)
    return [Strip(box.height, box.draw, PLAIN.section_gap)]
