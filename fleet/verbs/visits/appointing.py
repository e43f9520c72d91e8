"""What a plan in force writes on replacements: who comes when; and taking it back where a stop has lost its day."""

from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from fleet.models import Forecast, PlanStop, Replacement
from fleet.planning.replacing.states import State
from fleet.verbs.replacing.asking import plan as plan_replacement
from fleet.verbs.replacing.moving import MoveRefused
from fleet.verbs.visits.refusing import VisitRefused

MAY_BE_PLANNED = (State.ASKED, State.AGREED, State.PACKED, State.ARRIVED)


def appoint(stop: PlanStop, by: str, now: datetime) -> None:
    """Write who comes when on the replacements of a stop. Raises VisitRefused where one can no longer be changed."""
    if not stop.lead:
        return
    for swap in _swaps(stop):
        told = {
            "begins_at": stop.begin_at,
            "ends_at": stop.end_at,
            "technician": stop.day.technician,
            "second": stop.second,
            "frost_forecast_c": _forecast(stop, swap),
        }
        try:
            plan_replacement(swap, told, by, now)
        except MoveRefused as error:
            raise VisitRefused(f"{swap.mesh.code}: {error}") from None


def take_out(stops: Iterable[PlanStop], by: str, now: datetime) -> None:
    """Take stops out of force; replacements that still say what they wrote have no day any more."""
    rows = list(stops.select_related("day__technician", "visit__site"))
    PlanStop.objects.filter(pk__in=[stop.pk for stop in rows]).update(in_force=False)
    for stop in rows:
        for swap in _swaps(stop) if stop.lead else ():
            if swap.begins_at == stop.begin_at and swap.stands in MAY_BE_PLANNED:
                nothing = dict.fromkeys(("begins_at", "ends_at", "technician", "second", "frost_forecast_c"))
                plan_replacement(swap, nothing, by, now)


def _swaps(stop: PlanStop) -> list[Replacement]:
    return list(
        Replacement.objects.filter(visit_tasks__visit=stop.visit).select_related("mesh__site").order_by("pk")
    )


def _forecast(stop: PlanStop, swap: Replacement) -> int | None:
    """What was forecast for that day at the home; what the replacement said itself, where it was for the same day."""
    zone = ZoneInfo(stop.visit.site.time_zone)
    day = stop.begin_at.astimezone(zone).date()
    row = Forecast.objects.filter(site=stop.visit.site_id, day=day).first()
    if row is not None:
        return row.lowest_c
    same = swap.begins_at is not None and swap.begins_at.astimezone(zone).date() == day
    return swap.frost_forecast_c if same else None
