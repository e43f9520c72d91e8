"""The rounds: which ran, how far the one at work is, what one changed; starting one and stopping it."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet import tasks
from fleet.models import Round, RoundState
from fleet.pages import first_lines
from fleet.planning.pace import pace
from fleet.queries.clock import book_time
from fleet.queries.rounds import changes_of, first_judged_by, progress_of, rounds_shown, running
from fleet.verbs import round as verbs
from sites import access

ROUNDS_A_PAGE = 25
ROWS_A_PAGE = 100
# A page of a round at work asks for itself again so often, unless the reader holds it still (WCAG 2.2.1, 2.2.2).
RENEW_SECONDS = 10


@require_safe
def rounds(request: HttpRequest) -> HttpResponse:
    _require_whole_book(request)
    page = Paginator(rounds_shown(), ROUNDS_A_PAGE).get_page(request.GET.get("page"))
    at_work = running()
    last = at_work or Round.objects.first()
    return _answer(request, "fleet/rounds.html", at_work, {"page": page}, lambda: first_lines.of_rounds(last))


@require_safe
def round_(request: HttpRequest, pk: int) -> HttpResponse:
    _require_whole_book(request)
    report = get_object_or_404(Round, pk=pk)
    at_work = report if report.state == RoundState.RUNNING else None
    changes = Paginator(changes_of(report), ROWS_A_PAGE).get_page(request.GET.get("page"))
    context = {"round": report, "changes": changes}
    if at_work is None:
        context["errors"] = report.errors
        context["pace"] = pace(report.done, report.total, report.started_at, report.finished_at)
    return _answer(
        request,
        "fleet/round.html",
        at_work,
        context,
        lambda: first_lines.of_round(report, changes.paginator.count, first_judged_by(report)),
    )


@require_POST
def start(request: HttpRequest) -> HttpResponse:
    """The rows are written here; workers take them up from the queue, or from the rows where it does not answer."""
    _require_whole_book(request)
    access.require_change(request.user, timezone.localdate())
    time = book_time()
    try:
        report = verbs.begin(time.now, str(request.user), time.off)
    except verbs.AlreadyRunning as error:
        messages.warning(request, str(error))
        return redirect("rounds")
    if tasks.hand_out(report.pk, report.chunks.values_list("number", flat=True)):
        messages.success(request, "A round has begun. It goes on in the background, whether you look or not.")
    else:
        messages.warning(
            request, "The queue does not answer. The round is written down and goes on when it does."
        )
    return redirect("round", report.pk)


@require_POST
def stop(request: HttpRequest, pk: int) -> HttpResponse:
    _require_whole_book(request)
    access.require_change(request.user, timezone.localdate())
    if verbs.stop(pk, str(request.user), book_time().now):
        messages.success(
            request, "The round is stopped. What it had done stays done; the next one erases nothing."
        )
    return redirect("round", pk)


def _answer(
    request: HttpRequest,
    template: str,
    at_work: Round | None,
    context: dict[str, Any],
    first_line: Callable[[], str],
) -> HttpResponse:
    """The page, with how far a round at work is; it then renews itself."""
    now = book_time().now if at_work else timezone.now()
    context |= {"now": now, "still": "still" in request.GET, "renew_seconds": RENEW_SECONDS}
    context["may_change"] = access.may_change(request.user, timezone.localdate())
    if at_work:
        context["at_work"], context["progress"] = at_work, progress_of(at_work, now)
        at_work.done = context["progress"].done
        context["errors"] = context["progress"].errors
    response = render(request, template, context | {"first_line": first_line()})
    if at_work and not context["still"]:
        response.headers["Refresh"] = str(RENEW_SECONDS)
    return response


def _require_whole_book(request: HttpRequest) -> None:
    if not access.sees_whole_book(request.user, timezone.localdate()):
        raise Http404("There is nothing here.")
