"""What visits and plans say on the terminal: facts for JSON, and lines for people."""

from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from fleet.models import PlanStop, Visit
from fleet.planning.visits.moving import Move
from fleet.queries.visits.due import DueVisit
from fleet.queries.visits.pages import PlanShown, WantedVisit

A_MINUTE = timedelta(minutes=1)


def headline(shown: PlanShown) -> str:
    """What a plan comes to, in one sentence."""
    row = shown.row
    days = f"{row.first_day} to {row.last_day}" if row.first_day != row.last_day else f"{row.first_day}"
    if row.refused:
        return f"{days} could not be planned: {row.refused}"
    if row.is_under_way:
        return f"{days}: {row.get_state_display().lower()}, {row.progress} of 100."
    gap = " (no order is better)" if row.exact else ""
    if shown.gap is not None and not row.exact:
        gap = f" (at most {shown.gap:.0%} over the least that is possible with these stops)"
    visits = "1 visit" if shown.visits == 1 else f"{shown.visits} visits"
    overdue = f"{shown.overdue} overdue before, " if shown.overdue else ""
    return (
        f"{days}: {visits} with {shown.travel_minutes} min on the road{gap}, "
        f"{shown.late_minutes} min late, {overdue}"
        f"{shown.overtime_minutes} min of overtime, {len(shown.left_out)} left out."
    )


def visit_facts(wanted: WantedVisit) -> dict[str, Any]:
    """One visit."""
    row, stop = wanted.row, wanted.stop
    return {
        "visit": row.code,
        "home": row.site.code,
        "state": row.state,
        "work": [str(task) for task in row.tasks.all()],
        "minutes": [row.minutes_low, row.minutes_likely, row.minutes_high],
        "people": row.people,
        "due_at": _iso(row.due_at),
        "pinned_to": row.pinned_to.username if row.pinned_to else None,
        "pinned_at": _iso(row.pinned_at),
        "begins_at": _iso(stop.begin_at) if stop else None,
        "technician": stop.day.technician.username if stop else None,
    }


def due_facts(trip: DueVisit) -> dict[str, Any]:
    """A trip that is due and not wanted yet."""
    return {
        "home": trip.site.code,
        "work": [{"key": each.key, "because": each.because} for each in trip.work],
        "minutes": [trip.minutes.low, trip.minutes.likely, trip.minutes.high],
        "due_at": _iso(trip.due_at),
    }


def plan_facts(shown: PlanShown) -> dict[str, Any]:
    """A plan with its days, what is left out, and what it comes to. Times with the offset of the home's clock."""
    row = shown.row
    return {
        "plan": row.pk,
        "uid": str(row.uid),
        "first_day": row.first_day.isoformat(),
        "last_day": row.last_day.isoformat(),
        "state": row.state,
        "refused": row.refused,
        "cut_short": row.cut_short,
        "in_force": bool(shown.in_force),
        "version": row.version,
        "travel_minutes": shown.travel_minutes,
        "late_minutes": shown.late_minutes,
        "overtime_minutes": shown.overtime_minutes,
        "exact": row.exact,
        "bound_minutes": row.bound_minutes,
        "gap": shown.gap,
        "cautions": row.cautions,
        "days": [
            {
                "technician": day.row.technician.username,
                "day": day.row.day.isoformat(),
                "leave_at": day.row.leave_at.astimezone(ZoneInfo(day.zone)).isoformat(),
                "back_at": day.row.back_at.astimezone(ZoneInfo(day.zone)).isoformat(),
                "stops": [_stop_facts(stop) for stop in day.stops],
            }
            for day in shown.days
        ],
        "left_out": [
            {"visit": each.visit.code, "because": each.obstacles, "would_give": each.gives}
            for each in shown.left_out
        ],
    }


def plan_rows(shown: PlanShown) -> list[tuple[str, ...]]:
    """Who is where when, a stop a line; times on the home's clock."""
    rows = []
    for day in shown.days:
        for stop in day.stops:
            zone = ZoneInfo(stop.visit.site.time_zone)
            second = f" with {stop.second.username}" if stop.second else ""
            late = f"{stop.late // A_MINUTE} min late" if stop.late else "in time"
            rows.append(
                (
                    day.row.day.isoformat(),
                    f"{day.row.technician.username}{second}",
                    stop.visit.code,
                    f"{stop.begin_at.astimezone(zone):%Y-%m-%d %H:%M}",
                    f"{stop.end_at.astimezone(zone):%H:%M}",
                    late,
                    "; ".join(str(task) for task in stop.visit.tasks.all()),
                )
            )
    return rows


def move_lines(cost: Move) -> list[str]:
    """What a move would cost, and the rules that it would break."""
    told = [
        f"On the road {cost.travel_minutes:+d} min, late {cost.late_minutes:+d} min, "
        f"overtime {cost.overtime_minutes:+d} min."
    ]
    return [*told, *(f"It would break a rule. {each.rule}: {each.because}" for each in cost.broken)]


def when_of(stop: PlanStop | None, visit: Visit) -> str:
    """When and by whom a visit is made, on the home's clock."""
    if stop is None:
        return "no day yet"
    zone = ZoneInfo(visit.site.time_zone)
    return f"{stop.begin_at.astimezone(zone):%Y-%m-%d %H:%M} {stop.day.technician.username}"


def _stop_facts(stop: PlanStop) -> dict[str, Any]:
    zone = ZoneInfo(stop.visit.site.time_zone)
    return {
        "visit": stop.visit.code,
        "home": stop.visit.site.code,
        "leave_at": _iso(stop.leave_at, zone),
        "arrive_at": _iso(stop.arrive_at, zone),
        "begin_at": _iso(stop.begin_at, zone),
        "end_at": _iso(stop.end_at, zone),
        "late_minutes": stop.late.total_seconds() / 60,
        "pause_minutes": stop.pause.total_seconds() / 60,
        "second": stop.second.username if stop.second else None,
        "lead": stop.lead,
    }


def _iso(moment: datetime | None, zone: ZoneInfo | None = None) -> str | None:
    if moment is None:
        return None
    return (moment.astimezone(zone) if zone else moment).isoformat()
