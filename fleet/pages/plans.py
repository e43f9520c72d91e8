"""Plans: asking for one, its days as strips and rows, moving a visit by hand, and putting it in force."""

from datetime import timedelta

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fleet import tasks
from fleet.models import PlanState, VisitPlan
from fleet.pages import first_lines_visits as first_lines
from fleet.pages.plan_forms import AskForm, MoveForm, SaveMoveForm
from fleet.pages.visits import require_decide, require_whole_book
from fleet.planning.visits.moving import Goal
from fleet.planning.visits.request import WAIVABLE
from fleet.queries.clock import book_time
from fleet.queries.visits.pages import plan_named, plan_shown, plans_shown
from fleet.verbs.visits import force, moving, planning
from fleet.verbs.visits.moving import Answering
from fleet.verbs.visits.planning import Wish
from fleet.verbs.visits.refusing import VisitRefused
from sites import access

PLANS_A_PAGE = 25
# The page of a plan that is still growing asks for itself again so often, unless the reader holds it still.
RENEW_SECONDS = 3


@require_http_methods(["GET", "HEAD", "POST"])
def plans(request: HttpRequest) -> HttpResponse:
    require_whole_book(request)
    today = timezone.localdate()
    tomorrow = today + timedelta(days=1)
    first = {"first_day": tomorrow, "last_day": tomorrow + timedelta(days=4)}
    form = AskForm(request.POST) if request.method == "POST" else AskForm(initial=first)
    if form.is_bound and form.is_valid():
        told = form.cleaned_data
        wish = Wish(told["first_day"], told["last_day"], list(told["people"]), told["seconds"])
        try:
            plan = planning.ask(wish, str(request.user), book_time().now)
        except VisitRefused as error:
            form.add_error(None, str(error))
        else:
            if not tasks.hand_out_plan(plan.pk):
                messages.warning(
                    request, "The queue does not answer. The plan is written down and waits for it."
                )
            return redirect("plan", plan.uid)
    in_force = VisitPlan.objects.filter(days__in_force=True, days__day__gte=today).distinct().count()
    page = Paginator(plans_shown(), PLANS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "page": page,
        "rows": [(plan, sum(day.in_force for day in plan.days.all())) for plan in page],
        "first_line": first_lines.of_plans(page.paginator.count, in_force),
    }
    return render(request, "fleet/plans.html", context, status=422 if form.errors else 200)


@require_safe
def plan(request: HttpRequest, uid: str) -> HttpResponse:
    require_whole_book(request)
    row = plan_named(uid)
    return _shown(request, row, MoveForm(plan=row))


@require_POST
def enough(request: HttpRequest, uid: str) -> HttpResponse:
    require_whole_book(request)
    row = plan_named(uid)
    try:
        planning.enough(row, str(request.user), timezone.now())
    except VisitRefused as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "The search ends with the best that it has.")
    return redirect("plan", uid)


@require_POST
def use(request: HttpRequest, uid: str) -> HttpResponse:
    """Put in force, or with `withdraw` out of it."""
    require_decide(request)
    row, by, now = plan_named(uid), str(request.user), timezone.now()
    seen = request.POST.get("version", "")
    try:
        if "withdraw" in request.POST:
            force.withdraw(row, by, now)
            messages.success(request, "The days to come are out of force: nobody drives by this plan.")
        else:
            force.use(row, int(seen) if seen.isdecimal() and len(seen) < 10 else -1, by, now)
            messages.success(
                request, "This plan is in force. Tell the people in the houses when somebody comes."
            )
    except VisitRefused as error:
        messages.error(request, str(error))
    return redirect("plan", uid)


@require_POST
def move(request: HttpRequest, uid: str) -> HttpResponse:
    """First what it would cost; with `save`, the move."""
    require_decide(request)
    row = plan_named(uid)
    is_saved = "save" in request.POST
    form = (SaveMoveForm if is_saved else MoveForm)(request.POST, plan=row)
    if not form.is_valid():
        return _shown(request, row, MoveForm(request.POST, plan=row), 422)
    told = form.cleaned_data
    goal = _goal(form)
    try:
        if is_saved:
            who = Answering(told["name"], told["because"])
            moving.save_move(
                row, told["visit"], goal, told["version"], str(request.user), timezone.now(), who
            )
            messages.success(request, f"Visit {told['visit'].code} was moved.")
            return redirect("plan", uid)
        cost = moving.look(row, told["visit"], goal)
    except VisitRefused as error:
        again = MoveForm(request.POST, plan=row)
        again.is_valid()
        again.add_error(None, str(error))
        return _shown(request, row, again, 422)
    hard = [breach for breach in cost.broken if breach.rule not in WAIVABLE]
    context = {
        "plan": row,
        "visit": told["visit"],
        "goal": goal,
        "technician": told["technician"],
        "second": told["second"],
        "begins": next(
            (stop.begin for _, stop in cost.plan.stops if stop.visit == told["visit"].code and stop.lead),
            None,
        ),
        "cost": cost,
        "hard": hard,
        "form": SaveMoveForm(initial=request.POST.dict(), plan=row),
        "first_line": first_lines.of_move(
            cost.travel_minutes, cost.late_minutes, cost.overtime_minutes, len(cost.broken), len(hard)
        ),
    }
    return render(request, "fleet/plan_move.html", context)


def _goal(form: MoveForm) -> Goal | None:
    told = form.cleaned_data
    if told["technician"] is None:
        return None
    second = told["second"]
    return Goal(told["technician"].username, form.at, second.username if second else None)


def _shown(request: HttpRequest, row: VisitPlan, form: MoveForm, status: int = 200) -> HttpResponse:
    shown = plan_shown(row)
    still, at_work = "still" in request.GET, row.is_under_way
    context = {
        "plan": row,
        "shown": shown,
        "people": list(row.people.order_by("first_name", "username")),
        "form": form,
        "is_ready": row.state == PlanState.READY,
        "at_work": at_work,
        "still": still,
        "renew_seconds": RENEW_SECONDS,
        "may_decide": access.may_decide(request.user, timezone.localdate()),
        "may_be_used": row.state == PlanState.READY and bool(shown.days) and not shown.in_force,
        "first_line": first_lines.of_plan(shown),
    }
    response = render(request, "fleet/plan.html", context, status=status)
    if at_work and not still and request.method != "POST":
        response.headers["Refresh"] = str(RENEW_SECONDS)
    return response
