"""A firm of two who drive out in the week after make.NOW, which is Good Friday of 2027."""

from datetime import date, datetime, timedelta
from itertools import count
from zoneinfo import ZoneInfo

from fleet.models import PlanStop, VisitPlan
from fleet.verbs.visits import planning, solving
from fleet.verbs.visits.planning import Wish
from sites.models import Person
from tests import make

OSLO = ZoneInfo("Europe/Oslo")
TUESDAY, WEDNESDAY, FRIDAY = date(2027, 3, 30), date(2027, 3, 31), date(2027, 4, 2)


def at(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=OSLO)


def asked(*people: Person, first: date = TUESDAY, last: date = TUESDAY, **given: int) -> VisitPlan:
    return planning.ask(Wish(first, last, people, **given), "Orla", make.NOW)


def clock() -> datetime:
    return make.NOW


def solved(*people: Person, **given: object) -> VisitPlan:
    """A plan that was worked out, with few rounds of the search."""
    plan = asked(*people, **given)
    assert solving.solve(plan.pk, clock, rounds=100) == "done"
    plan.refresh_from_db()
    return plan


def ticking(step: float = 0.3):
    """Seconds that go on by a step at each look."""
    steps = count()
    return lambda: next(steps) * step


def stop_of(plan: VisitPlan, visit: object) -> PlanStop:
    return PlanStop.objects.get(day__plan=plan, visit=visit, lead=True)


def day_after(day: date) -> date:
    return day + timedelta(days=1)
