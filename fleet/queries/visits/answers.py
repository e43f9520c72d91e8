"""The answer of a plan, from its rows back to what decisions take, and which stops are in force."""

from collections.abc import Iterable
from datetime import date

from django.db.models import QuerySet

from fleet.models import PlanDay, PlanStop, VisitPlan
from fleet.planning.visits.plan import Day, LeftOut, Plan, Stop
from fleet.planning.visits.request import Rule
from fleet.planning.visits.rules import Obstacle
from sites.models import Person


def plan_of(row: VisitPlan) -> Plan:
    """The answer as it stands in the rows. Three statements."""
    days = days_of(row)
    left = row.left_out.select_related("visit__site")
    return Plan(
        tuple(sorted((day_of(day) for day in days), key=lambda day: (day.technician, day.leave))),
        tuple(
            LeftOut(
                each.visit.code,
                tuple(
                    Obstacle(Rule(one["rule"]), one["technician"], one["because"]) for one in each.obstacles
                ),
            )
            for each in left
        ),
        row.weight or 0,
        row.exact,
        row.bound_minutes,
        row.together_weight,
        tuple(row.cautions),
    )


def days_of(row: VisitPlan) -> list[PlanDay]:
    """Its days with their stops, by date and then by person. Two statements."""
    return list(
        row.days.select_related("technician")
        .prefetch_related("stops__visit__site__client", "stops__second", "stops__visit__tasks__mesh")
        .order_by("day", "technician__first_name", "technician__username", "leave_at")
    )


def day_of(row: PlanDay) -> Day:
    """One day as decisions take it."""
    return Day(
        row.technician.username,
        row.leave_at,
        row.back_at,
        row.last_pause,
        row.overtime,
        tuple(_stop(stop) for stop in row.stops.all()),
    )


def _stop(row: PlanStop) -> Stop:
    return Stop(
        row.visit.code,
        row.visit.site.code,
        row.pause,
        row.leave_at,
        row.arrive_at,
        row.begin_at,
        row.end_at,
        row.late,
        row.second.username if row.second else None,
        row.lead,
    )


def in_force_on(people: Iterable[Person], first: date, last: date) -> QuerySet[PlanDay]:
    """Days of plans in force of these people from first to last, both included."""
    return PlanDay.objects.filter(in_force=True, technician__in=list(people), day__gte=first, day__lte=last)


def stops_in_force(person: Person | None = None) -> QuerySet[PlanStop]:
    """Stops of plans in force, of one person or of all, by time."""
    rows = PlanStop.objects.filter(in_force=True)
    if person is not None:
        rows = rows.filter(day__technician=person)
    return rows.select_related("day__technician", "second", "visit__site").order_by("begin_at", "pk")
