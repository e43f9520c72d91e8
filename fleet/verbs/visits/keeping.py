"""Writing an answer down: days, stops, visits left out, and its sums."""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from fleet.models import PlanDay, PlanLeftOut, PlanStop, VisitPlan
from fleet.planning.visits.plan import Day, Plan
from fleet.planning.visits.relaxing import Give
from fleet.queries.visits.asked import Asked

Gives = Mapping[str, Sequence[Give]]
POSITION_IS_WANTING = "way"
WRITE_POSITION = "Write down where the home is: its latitude and longitude."


def write_answer(row: VisitPlan, asked: Asked, plan: Plan, gives: Gives) -> None:
    """Put this answer in the place of the one before, inside the caller's transaction; the caller saves the row.

    gives: what would have to give, by the visit's code; nobody looked for those that are not in it.
    """
    row.days.all().delete()
    row.left_out.all().delete()
    days = [_day(row, asked, day) for day in plan.days]
    PlanDay.objects.bulk_create(days)
    PlanStop.objects.bulk_create(
        stop for saved, day in zip(days, plan.days, strict=True) for stop in _stops(saved, asked, day)
    )
    PlanLeftOut.objects.bulk_create(_left_out(row, asked, plan, gives))
    row.weight, row.exact = plan.weight, plan.exact
    row.bound_minutes, row.together_weight = plan.bound_minutes, plan.together_weight
    row.version += 1


def _day(row: VisitPlan, asked: Asked, day: Day) -> PlanDay:
    return PlanDay(
        plan=row,
        technician=asked.people[day.technician],
        day=_date(asked, day),
        leave_at=day.leave,
        back_at=day.back,
        last_pause=day.last_pause,
        overtime=day.overtime,
    )


def _date(asked: Asked, day: Day) -> date:
    return day.leave.astimezone(asked.zones[day.technician]).date()


def _stops(saved: PlanDay, asked: Asked, day: Day) -> list[PlanStop]:
    return [
        PlanStop(
            day=saved,
            visit=asked.visits[stop.visit],
            number=number,
            pause=stop.pause,
            leave_at=stop.leave,
            arrive_at=stop.arrive,
            begin_at=stop.begin,
            end_at=stop.end,
            late=max(stop.late, timedelta()),
            second=asked.people[stop.with_whom] if stop.with_whom else None,
            lead=stop.lead,
        )
        for number, stop in enumerate(day.stops, 1)
    ]


def _left_out(row: VisitPlan, asked: Asked, plan: Plan, gives: Gives) -> list[PlanLeftOut]:
    rows = [
        PlanLeftOut(
            plan=row,
            visit=asked.visits[each.visit],
            obstacles=[
                {"rule": one.rule.value, "technician": one.technician, "because": one.because}
                for one in each.obstacles
            ],
            gives=_gives(gives[each.visit]) if each.visit in gives else None,
        )
        for each in plan.left_out
    ]
    for visit, because in asked.unplaced:
        obstacle = {"rule": POSITION_IS_WANTING, "technician": "", "because": because}
        give = {"rule": POSITION_IS_WANTING, "technician": "", "minutes": None, "because": WRITE_POSITION}
        rows.append(PlanLeftOut(plan=row, visit=visit, obstacles=[obstacle], gives=[give]))
    return rows


def _gives(found: Sequence[Give]) -> list[dict[str, object]]:
    return [
        {
            "rule": give.rule.value,
            "technician": give.technician,
            "minutes": give.minutes,
            "because": give.because,
        }
        for give in found
    ]
