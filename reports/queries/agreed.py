"""What an open replacement of a mesh by this radio says of the pre-flight items that only people can settle."""

from datetime import datetime

from fleet.models import Mesh, Replacement
from fleet.planning.replacing.preflight import Item as PlanItem
from fleet.planning.replacing.preflight import Met, PreflightFacts
from fleet.planning.replacing.preflight import preflight as plan
from fleet.queries.replacing.preflight import preflight_facts, rows_of
from reports.facts.preflight import Checked, Item, Standing, Why

STANDINGS = {Met.YES: Standing.MET, Met.NO: Standing.NOT_MET, Met.UNKNOWN: Standing.NOT_KNOWN}


def open_swap(mesh: Mesh) -> Replacement | None:
    """The replacement of this mesh that is under way: there is at most one."""
    return (
        mesh.replacements.under_way()
        .select_related("mesh__site", "old_radio", "new_radio", "technician", "second")
        .first()
    )


def agreed_on(swap: Replacement, now: datetime) -> dict[Item, Checked]:
    """Items that the swap card has an answer to, judged as there."""
    facts = preflight_facts(rows_of(swap, now), now)
    standing = {each.item: STANDINGS[each.met] for each in plan(facts)}
    found = (
        _told(facts, standing[PlanItem.FALL_BACKS]),
        _window(facts, standing[PlanItem.WINDOW]),
        _people(facts, standing[PlanItem.PEOPLE]),
        _consent(facts, swap.mesh.site.way_in, standing[PlanItem.CONSENT]),
    )
    return {each.item: each for each in found if each is not None}


def _told(facts: PreflightFacts, standing: Standing) -> Checked | None:
    if standing is not Standing.MET or not facts.safety_devices:
        return None
    return Checked(Item.FALL_BACKS, standing, Why.FALL_BACKS_TOLD, (facts.safety_devices,))


def _window(facts: PreflightFacts, standing: Standing) -> Checked | None:
    if facts.window is None:
        return None
    if standing is Standing.MET:
        return Checked(Item.CLIMATE, standing, Why.WINDOW_AGREED, (facts.window.begins, facts.window.ends))
    values = (facts.window.begins, "; ".join(facts.window.against))
    return Checked(Item.CLIMATE, standing, Why.WINDOW_AGAINST, values)


def _people(facts: PreflightFacts, standing: Standing) -> Checked | None:
    if not facts.technician:
        return None
    if standing is Standing.MET:
        named = ", ".join(name for name in (facts.technician, facts.second_named) if name)
        return Checked(Item.PEOPLE, standing, Why.PEOPLE_NAMED, (named,))
    return Checked(Item.PEOPLE, standing, Why.PEOPLE_WANTING, (facts.technician,))


def _consent(facts: PreflightFacts, way_in: str, standing: Standing) -> Checked | None:
    if standing is not Standing.MET:
        return None
    return Checked(Item.ACCESS, standing, Why.CONSENT_GIVEN, (facts.consent_by, way_in.rstrip(" .")))
