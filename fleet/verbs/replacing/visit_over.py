"""What the end of a replacement means for the visit that was wanted for it, and what a plan in force says of it."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from fleet.models import PlanStop, Replacement, Visit, VisitState, VisitTask
from fleet.planning.replacing.states import State

SAID_BY_PLAN = ("begins_at", "technician", "second")


def end_visit(swap: Replacement, by: str, now: datetime) -> None:
    """The swap was accepted, dropped or closed: its work is no longer wanted, nor is a visit that has no other work.

    A visit made keeps its place in the plan, as a record; one that nobody needs any more leaves it.
    """
    tasks = VisitTask.objects.filter(replacement=swap, is_open=True)
    visits = list(Visit.objects.select_for_update().filter(tasks__in=tasks).order_by("pk"))
    tasks.update(is_open=False)
    for visit in visits:
        if visit.tasks.filter(is_open=True).exists():
            continue
        made = swap.stands is not State.DROPPED
        visit.state = VisitState.DONE if made else VisitState.DROPPED
        visit.ended_at, visit.ended_by = now, by[:120]
        visit.ended_because = f"The replacement is {swap.stands.words}."
        visit.save(update_fields=["state", "ended_at", "ended_by", "ended_because"])
        if not made:
            visit.stops.filter(in_force=True).update(in_force=False)


def stop_against(swap: Replacement, changes: Mapping[str, Any]) -> PlanStop | None:
    """The stop of a plan in force that says other than these changes who comes when; None where nothing does."""
    said = [name for name in SAID_BY_PLAN if name in changes]
    stops = PlanStop.objects.filter(in_force=True, lead=True, visit__tasks__replacement=swap)
    stop = stops.select_related("day__technician", "second", "visit__site").first() if said else None
    if stop is None:
        return None
    planned = {"begins_at": stop.begin_at, "technician": stop.day.technician, "second": stop.second}
    return stop if any(changes[name] != planned[name] for name in said) else None
