"""Asking for a plan of visits, and telling its search that it is enough. Nobody works on it here."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.models import VisitPlan
from fleet.models.visit_plan import LEAST_SECONDS, MOST_DAYS, MOST_SECONDS, USUAL_SECONDS, PlanState
from fleet.queries.visits.answers import in_force_on
from fleet.queries.visits.asked import eligible, people_to_plan
from fleet.verbs import journal
from fleet.verbs.visits.refusing import VisitRefused
from sites.models import Person
from sites.queries import firm_zone

MOST_VISITS = 150
MOST_AHEAD = 731
"""Two years: whoever writes a later day has mistyped the year."""
MOST_KEPT = 60
"""Plans that were never in force; older ones are let go of when another is asked for."""


@dataclass(frozen=True, slots=True)
class Wish:
    """Which days, both included, whom, and how many seconds to look. Nobody named: all who can be sent."""

    first_day: date
    last_day: date
    people: Sequence[Person] = ()
    seconds: int = USUAL_SECONDS


@transaction.atomic
def ask(wish: Wish, by: str, now: datetime) -> VisitPlan:
    """Write down that these days are to be planned. Raises VisitRefused."""
    _insist_days(wish, now)
    people = list(wish.people) or list(people_to_plan())
    strange = {person.pk for person in people} - set(people_to_plan().values_list("pk", flat=True))
    for person in people:
        if person.pk in strange:
            raise VisitRefused(f"people: {person} is nobody of the firm who can be sent; choose others.")
    insist_not_begun(people, wish.first_day, wish.last_day, now)
    visits = list(eligible(people, (wish.first_day, wish.last_day)))
    if not visits:
        raise VisitRefused("visits: none is wanted that has no day yet; want one first.")
    plan = VisitPlan.objects.create(
        first_day=wish.first_day,
        last_day=wish.last_day,
        seconds=wish.seconds,
        asked_by=by[:120],
        asked_at=now,
        sign_at=now,
        cautions=_too_many(len(visits)),
    )
    plan.people.set(people)
    plan.visits.set(visits[:MOST_VISITS])
    _let_go()
    journal.record(
        by,
        "plan asked",
        "",
        now,
        plan=plan.pk,
        days=f"{plan.first_day} to {plan.last_day}",
        people=[person.username for person in people],
        visits=min(len(visits), MOST_VISITS),
    )
    return plan


@transaction.atomic
def enough(plan: VisitPlan, by: str, now: datetime) -> VisitPlan:
    """Have the search end now, with the best that it has. Raises VisitRefused where none is under way."""
    plan = locked(plan)
    if not plan.is_under_way:
        raise VisitRefused("state: this plan is worked out already.")
    plan.stop_asked_by = by[:120]
    plan.save(update_fields=["stop_asked_by"])
    journal.record(by, "plan search cut short", "", now, plan=plan.pk)
    return plan


def locked(plan: VisitPlan) -> VisitPlan:
    """The row, held until the transaction ends."""
    return VisitPlan.objects.select_for_update(of=("self",)).get(pk=plan.pk)


def insist_not_begun(people: Sequence[Person], first: date, last: date, now: datetime) -> None:
    """Nobody plans a day anew that somebody is out on already."""
    out = in_force_on(people, first, last).filter(leave_at__lte=now).select_related("technician").first()
    if out is not None:
        raise VisitRefused(
            f"first_day: {out.technician} has set out on {out.day} by a plan in force; begin with the day after, or "
            "leave them out."
        )


def _insist_days(wish: Wish, now: datetime) -> None:
    today = now.astimezone(ZoneInfo(firm_zone())).date()
    if wish.last_day < wish.first_day:
        raise VisitRefused(
            f"last_day: {wish.last_day} is before the first, {wish.first_day}; turn them round."
        )
    # A day's grace: it is yesterday still where some of the firm's people work.
    if wish.first_day < today - timedelta(days=1):
        raise VisitRefused(f"first_day: {wish.first_day} has passed; plan from {today} on.")
    if (wish.first_day - today).days > MOST_AHEAD:
        raise VisitRefused(
            f"first_day: {wish.first_day} is more than {MOST_AHEAD} days ahead; plan days that are nearer."
        )
    if (wish.last_day - wish.first_day).days >= MOST_DAYS:
        raise VisitRefused(
            f"last_day: {wish.first_day} to {wish.last_day} is more than {MOST_DAYS} days; plan fewer at once."
        )
    if not LEAST_SECONDS <= wish.seconds <= MOST_SECONDS:
        raise VisitRefused(f"seconds: {wish.seconds} cannot be; write {LEAST_SECONDS} to {MOST_SECONDS}.")


def _too_many(count: int) -> list[str]:
    if count <= MOST_VISITS:
        return []
    return [
        f"{count} visits are wanted; this plan takes the first {MOST_VISITS} by due time and worth. "
        "Put it in force, then plan the rest."
    ]


def _let_go() -> None:
    kept = VisitPlan.objects.filter(force_at=None).exclude(state__in=(PlanState.WAITING, PlanState.WORKING))
    newest = list(kept.order_by("-pk").values_list("pk", flat=True)[:MOST_KEPT])
    kept.exclude(pk__in=newest).delete()
