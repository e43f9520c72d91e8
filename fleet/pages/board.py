"""The board: which homes could not be brought back today, why, and what would help."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.pages import first_lines
from fleet.pages.board_rows import rows_of
from fleet.pages.second_route import notice_stopped_rounds
from fleet.planning.readiness import State
from fleet.queries.board import board_for
from sites import access


@require_safe
def board(request: HttpRequest) -> HttpResponse:
    now, today = timezone.now(), timezone.localdate()
    state = _state(request.GET.get("state"))
    shown = board_for(request.user, today, state, request.GET.get("page"))
    keep = f"state={state.value}&" if state else ""
    context = {"board": shown, "now": now, "state": state, "keep": keep}
    if shown.steps is not None:
        return _without_a_mesh(request, context)
    context["doubtful"] = shown.is_doubtful(now)
    if context["doubtful"] and shown.last_round:
        notice_stopped_rounds()
    line = first_lines.of_board(
        shown.tally, shown.bare, len(shown.incidents.stranded), shown.incidents.only_silent
    )
    context["rows"] = rows_of(shown.page, now)
    return render(request, "fleet/board.html", {**context, "first_line": line})


def _without_a_mesh(request: HttpRequest, context: dict[str, object]) -> HttpResponse:
    if not access.may_change(request.user, timezone.localdate()):
        return render(request, "fleet/nothing_open.html", {"first_line": "No home is open to you today."})
    line = "The book is empty. Four steps lead to the first home that can be brought back."
    return render(request, "fleet/first_home.html", {**context, "first_line": line})


def _state(word: str | None) -> State | None:
    try:
        return State(word) if word else None
    except ValueError:
        raise Http404("There is no such readiness.") from None
