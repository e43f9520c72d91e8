"""Which radio the plan would take at a home, and whether a spare could take its mesh over at all."""

from fleet.models import Mesh, Radio
from fleet.planning.compatibility import Verdict, judge
from fleet.queries.facts import needs_of, radio_facts
from fleet.queries.readiness import head_in_service


def planned_radio(mesh: Mesh) -> Radio | None:
    """The one named by the replacement under way, else the spare that the last round took; None without either."""
    swap = mesh.replacements.under_way().select_related("new_radio").first()
    if swap is not None and swap.new_radio is not None:
        return swap.new_radio
    return mesh.best_spare


def fit_of(mesh: Mesh, radio: Radio) -> str:
    """Why this radio cannot take the mesh over; empty where it may, or nobody can say, which a drill would show.

    What the firm thinks of its firmware is not asked: a build on trial or barred may be rehearsed with.
    """
    head = head_in_service(mesh)
    needs = needs_of(mesh, list(mesh.nodes.filter(gone_since=None)))
    if head is None or needs is None:
        return ""
    fit = judge(radio_facts(head.radio), radio_facts(radio), needs)
    against = [each.text for each in fit.reasons if each.verdict is Verdict.NO and each.rule != "firmware"]
    return against[0] if against else ""
