"""Sheets across the book that are out of date, and making them anew in the background."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.queries.clock import book_time
from reports import tasks
from reports.models import Remaking, Sheet
from reports.queries.out_of_date import (
    Making,
    at_work,
    homes_with_old_sheets,
    making,
    newest_makings,
    not_compared,
    out_of_date,
    to_be_hung,
    what_changed,
)
from reports.verbs import remaking as verbs
from sites import access

ROWS_A_PAGE = 50
OLD_SHOWN = 50
# A page of work in progress asks for itself again so often, unless the reader holds it still (WCAG 2.2.1, 2.2.2).
RENEW_SECONDS = 10


@require_safe
def papers(request: HttpRequest) -> HttpResponse:
    """Which sheets are out of date, where, since when and what changed."""
    _require_whole_book(request)
    page = Paginator(out_of_date(), ROWS_A_PAGE).get_page(request.GET.get("page"))
    failed = list(not_compared()[:ROWS_A_PAGE])
    old_homes = homes_with_old_sheets()
    context = {
        "page": page,
        "rows": [(sheet, what_changed(sheet)) for sheet in page],
        "failed": failed,
        "to_be_hung": to_be_hung()[:OLD_SHOWN],
        "most_shown": OLD_SHOWN,
        "at_work": at_work(),
        "over": newest_makings(),
        "may_change": access.may_change(request.user, timezone.localdate()),
        "first_line": first_line(page.paginator.count, len(failed), old_homes),
    }
    return render(request, "reports/papers.html", context)


@require_POST
def remake(request: HttpRequest) -> HttpResponse:
    """All that are out of date, or the one that is named."""
    _require_whole_book(request)
    access.require_change(request.user, timezone.localdate())
    sheets = verbs.stale()
    if number := request.POST.get("number"):
        sheets = Sheet.objects.filter(pk=get_object_or_404(sheets, number=number).pk)
    begun = verbs.begin(sheets, str(request.user), book_time().now)
    if begun is None:
        messages.warning(request, "Nothing new to make: each of them is being made already.")
        return redirect("papers")
    if not tasks.hand_out_making(begun.total):
        messages.warning(request, "The queue does not answer. It is written down and goes on when it does.")
    return redirect("papers-making", begun.pk)


@require_safe
def papers_making(request: HttpRequest, pk: int) -> HttpResponse:
    """How far it is."""
    _require_whole_book(request)
    remaking = get_object_or_404(Remaking, pk=pk)
    now = book_time().now
    found = making(remaking, now)
    still = "still" in request.GET
    context = {
        "remaking": remaking,
        "making": found,
        "still": still,
        "renew_seconds": RENEW_SECONDS,
        "first_line": _progress_line(remaking, found),
    }
    response = render(request, "reports/papers_making.html", context)
    if remaking.finished_at is None and not still:
        response.headers["Refresh"] = str(RENEW_SECONDS)
    return response


def first_line(stale: int, failed: int, old_homes: int = 0) -> str:
    """How many homes have an old sheet on the wall, and how many sheets in force are out of date."""
    lost = f" {failed} could not be looked at." if failed else ""
    if old_homes:
        homes = "One home has" if old_homes == 1 else f"{old_homes:,} homes have"
        more = f" {_stale(stale)}" if stale else ""
        return f"{homes} an old sheet on the wall.{more}{lost}"
    if not stale:
        return f"No sheet on a wall is out of date.{lost}"
    return f"{_stale(stale)}{lost}"


def _stale(stale: int) -> str:
    count = "One sheet on a wall is" if stale == 1 else f"{stale:,} sheets on walls are"
    return f"{count} out of date."


def _progress_line(remaking: Remaking, found: Making) -> str:
    errors = len(found.errors)
    failed = f", {errors} failed" if errors else ""
    if remaking.finished_at is None:
        return f"{found.done:,} of {remaking.total:,} sheets are made anew{failed}."
    return f"{found.made:,} of {remaking.total:,} sheets were made anew{failed}."


def _require_whole_book(request: HttpRequest) -> None:
    if not access.sees_whole_book(request.user, timezone.localdate()):
        raise Http404("There is nothing here.")
