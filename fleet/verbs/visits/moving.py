"""Moving one visit of a plan by hand: what it costs is said first, and what breaks a hard rule is not saved."""

from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from fleet.models import PlanState, Visit, VisitPlan
from fleet.planning.visits.checking import Breach
from fleet.planning.visits.moving import Goal, Move, move
from fleet.planning.visits.plan import LeftOut, Plan
from fleet.planning.visits.request import WAIVABLE, Rule
from fleet.planning.visits.rules import Obstacle
from fleet.planning.visits.span import VisitError
from fleet.queries.visits.answers import plan_of
from fleet.queries.visits.asked import Asked, asked_of
from fleet.verbs import journal
from fleet.verbs.visits.appointing import take_out
from fleet.verbs.visits.force import apply, insist_seen
from fleet.verbs.visits.keeping import write_answer
from fleet.verbs.visits.planning import locked
from fleet.verbs.visits.refusing import VisitRefused
from fleet.verbs.visits.wanting import locked as locked_visit
from fleet.verbs.visits.wanting import put_waiver


@dataclass(frozen=True, slots=True)
class Answering:
    """Who answers for a rule of the home that a move leaves aside, and why. Empty: nobody."""

    name: str = ""
    because: str = ""


NOBODY = Answering()


def look(plan: VisitPlan, visit: Visit, goal: Goal | None) -> Move:
    """What it would cost to move a visit to a goal, or to leave it out (None). Writes nothing. Raises VisitRefused."""
    if plan.state != PlanState.READY:
        raise VisitRefused(f"state: {plan.get_state_display().lower()}; wait for its answer.")
    return _look(asked_of(plan), plan_of(plan), visit, goal)


@transaction.atomic
def save_move(
    plan: VisitPlan,
    visit: Visit,
    goal: Goal | None,
    seen: int,
    by: str,
    now: datetime,
    answering: Answering = NOBODY,
) -> Move:
    """Move the visit. Raises VisitRefused where a hard rule would be broken that nobody may waive, or nobody waived.

    seen: the version that was looked at. In a plan in force replacements follow.
    """
    plan = locked(plan)
    insist_seen(plan, seen)
    _insist_to_come(plan, visit, goal, now)
    asked, before = asked_of(plan), plan_of(plan)
    moved = _look(asked, before, visit, goal)
    if moved.broken:
        _waive(moved.broken, asked, answering, by, now)
        asked = asked_of(plan)
        moved = _look(asked, before, visit, goal)
        if moved.broken:
            raise VisitRefused(_said(moved.broken[0]))
    in_force = plan.days.filter(in_force=True).exists()
    if in_force and plan.days.filter(in_force=False).exists():
        raise VisitRefused("state: another plan has taken over some of its days; plan anew.")
    if in_force and goal is None:
        take_out(visit.stops.filter(in_force=True, day__plan=plan), by, now)
    _write(plan, asked, before, moved.plan, by)
    if in_force:
        apply(plan, by, now)
    journal.record(
        by,
        "visit moved by hand",
        visit.site.code,
        now,
        plan=plan.pk,
        visit=visit.code,
        to=goal.technician if goal else "left out",
        travel_minutes=moved.travel_minutes,
        late_minutes=moved.late_minutes,
        overtime_minutes=moved.overtime_minutes,
    )
    return moved


def _look(asked: Asked, before: Plan, visit: Visit, goal: Goal | None) -> Move:
    if visit.code not in asked.visits:
        raise VisitRefused(f"visit: {visit.code} is no part of this plan, or no longer wanted; plan anew.")
    if goal is not None and asked.request.visit(visit.code).people == 2 and not goal.helper:
        raise VisitRefused(f"second: {visit.code} takes two people; name the second.")
    if goal is not None and goal.helper == goal.technician:
        raise VisitRefused(f"second: {goal.technician} cannot be both; name somebody else.")
    if goal is not None and asked.request.visit(visit.code).people == 1:
        goal = replace(goal, helper=None)
    try:
        return move(asked.request, before, visit.code, goal)
    except VisitError as error:
        raise VisitRefused(f"move: {error}") from None


def _insist_to_come(plan: VisitPlan, visit: Visit, goal: Goal | None, now: datetime) -> None:
    if goal is not None and goal.at <= now:
        raise VisitRefused("at: this time has passed; choose one to come.")
    if plan.days.filter(in_force=True, leave_at__lte=now, stops__visit=visit).exists():
        raise VisitRefused(f"visit: somebody has set out on the day of {visit.code} already.")
    if (
        goal is not None
        and plan.days.filter(
            in_force=True, leave_at__lte=now, technician__username=goal.technician, back_at__gt=goal.at
        ).exists()
    ):
        raise VisitRefused(f"technician: {goal.technician} has set out on that day already.")


def _waive(broken: tuple[Breach, ...], asked: Asked, who: Answering, by: str, now: datetime) -> None:
    """Each broken rule that may be waived, on its own visit, in the name of whoever answers for it."""
    for breach in broken:
        if breach.rule not in WAIVABLE:
            raise VisitRefused(_said(breach))
    if not who.name.strip():
        raise VisitRefused(f"{_said(broken[0])} Somebody may answer for it by name.")
    for breach in broken:
        held = locked_visit(asked.visits[breach.visit])
        put_waiver(held, breach.rule, who.name, who.because, by, now)


def _said(breach: Breach) -> str:
    return f"{breach.rule}: {breach.because}"


def _write(plan: VisitPlan, asked: Asked, before: Plan, after: Plan, by: str) -> None:
    """The answer after a move. What stood against visits left out stays; nobody has looked what would have to give."""
    known = {each.visit: each.obstacles for each in before.left_out}
    by_hand = (Obstacle(Rule.PIN, "", f"{by} left it out by hand."),)
    same = {stop.visit for _, stop in before.stops} == {stop.visit for _, stop in after.stops}
    kept = replace(
        after,
        left_out=tuple(LeftOut(each.visit, known.get(each.visit, by_hand)) for each in after.left_out),
        # The bound is one on the travel of these same stops.
        bound_minutes=before.bound_minutes if same else None,
        exact=False,
    )
    write_answer(plan, asked, kept, {})
    plan.moved_by_hand += 1
    plan.save()
