"""What the pages of visits and plans ask."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import F, Prefetch, QuerySet
from django.shortcuts import get_object_or_404

from fleet.models import PlanDay, PlanLeftOut, PlanStop, Visit, VisitPlan, VisitState
from fleet.planning.visits.picture import Strip, strip_of
from fleet.planning.visits.plan import Day
from fleet.queries.visits.answers import day_of, days_of, plan_of, stops_in_force
from sites.models import Person
from sites.queries import firm_zone

NEAR = ("site__client", "pinned_to")


@dataclass(frozen=True, slots=True)
class WantedVisit:
    """A visit that is wanted, and where it stands in a plan in force (None: it has no day)."""

    row: Visit
    stop: PlanStop | None


@dataclass(frozen=True, slots=True)
class DayShown:
    """A day with its strip; travel and late in whole minutes."""

    row: PlanDay
    strip: Strip
    travel_minutes: int
    overtime_minutes: int
    stops: tuple[PlanStop, ...]
    zone: str


@dataclass(frozen=True, slots=True)
class PlanShown:
    """A plan as its page shows it; gap is None where there is nothing to drive or no bound was worked out.

    overdue: visits with a day that were late before the plan was asked for; late_minutes is without them.
    """

    row: VisitPlan
    days: tuple[DayShown, ...]
    left_out: tuple[PlanLeftOut, ...]
    travel_minutes: int
    late_minutes: int
    overtime_minutes: int
    gap: float | None
    in_force: int
    overdue: int

    @property
    def visits(self) -> int:
        """Visits with a day, those of two counted once."""
        return sum(stop.lead for day in self.days for stop in day.stops)


def visits_wanted() -> list[WantedVisit]:
    """All that are wanted, the earliest due first. A fixed number of statements."""
    rows = _near(Visit.objects.filter(state=VisitState.WANTED, site__client__erased_at=None))
    order = (F("due_at").asc(nulls_last=True), "-value", "pk")
    return [WantedVisit(row, _held(row)) for row in rows.order_by(*order)]


def visit_named(uid: UUID) -> WantedVisit:
    """One visit with its tasks, windows and waivers, or Http404."""
    row = get_object_or_404(
        _near(Visit.objects.all()).prefetch_related("windows", "waivers", "site__forecasts"), uid=uid
    )
    return WantedVisit(row, _held(row))


def plan_shown(row: VisitPlan) -> PlanShown:
    """The answer of a plan, each day on the clock of whoever drives it."""
    days = days_of(row)
    firm = firm_zone()
    spans = [(day.leave_at, day.back_at) for day in days]
    shown = []
    for day in days:
        zone = day.technician.time_zone or firm
        told = day_of(day)
        shown.append(
            DayShown(
                day,
                _strip(told, ZoneInfo(zone), day, spans),
                told.travel // timedelta(minutes=1),
                day.overtime // timedelta(minutes=1),
                tuple(day.stops.all()),
                zone,
            )
        )
    plan = plan_of(row)
    late = [stop for day in shown for stop in day.stops if stop.lead and stop.late]
    return PlanShown(
        row,
        tuple(shown),
        tuple(row.left_out.select_related("visit__site__client").prefetch_related("visit__tasks")),
        plan.travel_minutes,
        sum((stop.late for stop in late if not _was_overdue(stop, row)), timedelta()) // timedelta(minutes=1),
        plan.overtime_minutes,
        plan.gap,
        sum(day.in_force for day in days),
        sum(_was_overdue(stop, row) for stop in late),
    )


def stops_ahead(person: Person, now: datetime) -> list[PlanStop]:
    """What plans in force have for one person from now on, in order. A fixed number of statements."""
    near = stops_in_force(person).filter(end_at__gt=now).select_related("visit__site__client")
    return list(near.prefetch_related("visit__tasks__mesh", "visit__tasks__replacement__mesh"))


def plans_shown() -> QuerySet[VisitPlan]:
    """All plans, newest first, each with its days and people."""
    return VisitPlan.objects.prefetch_related("people", "days")


def plan_named(uid: UUID) -> VisitPlan:
    """One plan, or Http404."""
    return get_object_or_404(VisitPlan, uid=uid)


def _was_overdue(stop: PlanStop, plan: VisitPlan) -> bool:
    return stop.visit.due_at is not None and stop.visit.due_at < plan.asked_at


def _strip(told: Day, zone: ZoneInfo, day: PlanDay, spans: list[tuple[datetime, datetime]]) -> Strip:
    """Days of one date share their hours, so that they can be read one below the other."""
    near = [(leave, back) for leave, back in spans if abs(leave - day.leave_at) < timedelta(hours=12)]
    return strip_of(told, zone, min(leave for leave, _ in near), max(back for _, back in near))


def _near(rows: QuerySet[Visit]) -> QuerySet[Visit]:
    held = PlanStop.objects.filter(in_force=True, lead=True).select_related(
        "day__technician", "day__plan", "second"
    )
    return rows.select_related(*NEAR).prefetch_related(
        "tasks__mesh", "tasks__replacement", Prefetch("stops", held, to_attr="held")
    )


def _held(row: Visit) -> PlanStop | None:
    return row.held[0] if row.held else None
