"""Putting a plan in force, so that people drive by it; and taking it out again."""

from collections.abc import Sequence
from datetime import datetime

from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from fleet.models import PlanDay, PlanState, PlanStop, VisitPlan, VisitState
from fleet.planning.visits.checking import breaches
from fleet.planning.visits.span import VisitError
from fleet.queries.visits.answers import in_force_on, plan_of
from fleet.queries.visits.asked import asked_of
from fleet.verbs import journal
from fleet.verbs.visits.appointing import appoint, take_out
from fleet.verbs.visits.planning import insist_not_begun, locked
from fleet.verbs.visits.refusing import VisitRefused
from sites.models import Person

IN_FORCE_BY_ANOTHER = "Another plan was put in force for one of these days at the same moment; look again."


def use(plan: VisitPlan, seen: int, by: str, now: datetime) -> VisitPlan:
    """Put a plan in force in place of what was in force for its people on its days. Raises VisitRefused.

    seen: the version that was looked at. Every hard rule is judged again by the rows as they stand now. Replacements
    get day, time and people by their own verb; one that loses its day has none any more.
    """
    try:
        with transaction.atomic():
            return _use(plan, seen, by, now)
    except IntegrityError:
        raise VisitRefused(f"state: {IN_FORCE_BY_ANOTHER}") from None


def _use(plan: VisitPlan, seen: int, by: str, now: datetime) -> VisitPlan:
    plan = locked(plan)
    insist_seen(plan, seen)
    people = _locked_people(plan)
    if plan.days.filter(in_force=True).exists():
        raise VisitRefused("state: this plan is in force already.")
    if not plan.days.exists():
        raise VisitRefused("state: this plan sends nobody anywhere; there is nothing to put in force.")
    gone = plan.days.filter(leave_at__lte=now).select_related("technician").first()
    if gone is not None:
        raise VisitRefused(
            f"state: {gone.technician} would have left at {gone.leave_at:%Y-%m-%d %H:%M} UTC already; plan anew."
        )
    insist_not_begun(people, plan.first_day, plan.last_day, now)
    insist_rules(plan)
    before = in_force_on(people, plan.first_day, plan.last_day).exclude(plan=plan)
    replaced = sorted(set(before.values_list("plan", flat=True)))
    _free(plan, before, by, now)
    apply(plan, by, now)
    plan.force_at, plan.force_by = now, by[:120]
    plan.save(update_fields=["force_at", "force_by"])
    journal.record(by, "plan put in force", "", now, plan=plan.pk, replaces=replaced)
    return plan


@transaction.atomic
def withdraw(plan: VisitPlan, by: str, now: datetime) -> VisitPlan:
    """Take the days to come out of force; days that were driven stay. Raises VisitRefused."""
    plan = locked(plan)
    _locked_people(plan)
    days = plan.days.filter(in_force=True, leave_at__gt=now)
    if not days.exists():
        raise VisitRefused("state: no day of this plan is in force and still to come.")
    _free(plan, days, by, now, all_of_them=True)
    journal.record(by, "plan taken out of force", "", now, plan=plan.pk)
    return plan


def apply(plan: VisitPlan, by: str, now: datetime) -> None:
    """Mark its days and stops in force and write its replacements, inside the caller's transaction."""
    plan.days.update(in_force=True)
    stops = PlanStop.objects.filter(day__plan=plan)
    stops.exclude(visit__state=VisitState.DROPPED).update(in_force=True)
    # What was made keeps the time at which it was.
    led = stops.filter(lead=True, visit__state=VisitState.WANTED)
    for stop in led.select_related("day__technician", "second", "visit__site"):
        appoint(stop, by, now)


def insist_seen(plan: VisitPlan, seen: int) -> None:
    """Raises VisitRefused for a plan that is not worked out, or that somebody changed since it was looked at."""
    if plan.state != PlanState.READY:
        raise VisitRefused(
            f"state: {plan.get_state_display().lower()}; wait for its answer, or ask for another."
        )
    if plan.version != seen:
        raise VisitRefused("version: this plan was changed since you looked at it; look again.")


def insist_rules(plan: VisitPlan) -> None:
    """Raises VisitRefused where the plan breaks a hard rule by the rows as they are now."""
    try:
        broken = breaches(asked_of(plan).request, plan_of(plan))
    except VisitError as error:
        raise VisitRefused(f"state: {error} Plan anew.") from None
    if broken:
        more = f" {len(broken) - 1} more rules are broken." if len(broken) > 1 else ""
        raise VisitRefused(f"{broken[0].rule}: {broken[0].because}{more} Plan anew.")


def _free(
    plan: VisitPlan, days: QuerySet[PlanDay], by: str, now: datetime, all_of_them: bool = False
) -> None:
    """Take days out of force. Visits that have no other day in this plan lose theirs wholly, both people of a pair."""
    keys = list(days.values_list("pk", flat=True))
    touched = set(PlanStop.objects.filter(day__in=keys, in_force=True).values_list("visit", flat=True))
    kept = set() if all_of_them else _placed(plan)
    held = PlanStop.objects.filter(in_force=True)
    take_out(held.filter(visit__in=touched - kept), by, now)
    # Where they come again the new day is written over the old one.
    held.filter(visit__in=kept).exclude(day__plan=plan).update(in_force=False)
    PlanDay.objects.filter(pk__in=keys).update(in_force=False)


def _placed(plan: VisitPlan) -> set[int]:
    return set(PlanStop.objects.filter(day__plan=plan).values_list("visit", flat=True))


def _locked_people(plan: VisitPlan) -> Sequence[Person]:
    """Held in one order, so that of two plans for the same people one comes after the other."""
    keys = list(plan.people.order_by("pk").values_list("pk", flat=True))
    return list(Person.objects.select_for_update(of=("self",)).filter(pk__in=keys).order_by("pk"))
