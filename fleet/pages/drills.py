"""The roster of drills, the month's lots, and one draw for everybody to check."""

from datetime import date

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.models import DrillDraw
from fleet.pages import first_lines_drilling
from fleet.planning.drilling.lots import unevenness
from fleet.queries.drilling.lots import drawn_again, drawn_meshes, lots_of
from fleet.queries.drilling.roster import ORDER, SHARE, roster_of
from fleet.verbs.drilling.lots import NotDrawn, draw_month
from sites import access

ROWS_A_PAGE = 50


@require_safe
def drills(request: HttpRequest) -> HttpResponse:
    _require_whole_book(request)
    now = timezone.now()
    roster = roster_of(now)
    context = {
        "roster": roster,
        "page": Paginator(roster.entries, ROWS_A_PAGE).get_page(request.GET.get("page")),
        "counts": [(state.value, roster.count(state)) for state in ORDER if roster.count(state)],
        "share": SHARE,
        "may_change": access.may_change(request.user, timezone.localdate()),
        "now": now,
        "first_line": first_lines_drilling.of_roster(roster),
    }
    return render(request, "fleet/drills.html", context)


@require_POST
def draw(request: HttpRequest) -> HttpResponse:
    _require_whole_book(request)
    access.require_change(request.user, timezone.localdate())
    try:
        row = draw_month(timezone.now(), str(request.user))
    except NotDrawn as error:
        messages.error(request, str(error))
        return redirect("drills")
    messages.success(request, f"Drawn for {row}. The seed and every weight are kept.")
    return redirect("drill-lots", str(row))


@require_safe
def lots(request: HttpRequest, month: str) -> HttpResponse:
    """month: as 2027-03."""
    _require_whole_book(request)
    try:
        first = date.fromisoformat(f"{month}-01")
    except ValueError:
        raise Http404("There is no such month.") from None
    row = get_object_or_404(DrillDraw, month=first)
    drawn = [each for each in drawn_meshes() if each.row.draw_id == row.pk]
    held = lots_of(row)
    context = {
        "draw": row,
        "drawn": drawn,
        "lots": sorted(held, key=lambda lot: (-lot.weight, lot.mesh)),
        "total": sum(lot.weight for lot in held),
        "unevenness": unevenness(held),
        "first_line": first_lines_drilling.of_draw(row, row.count, drawn_again(row)),
    }
    return render(request, "fleet/drill_lots.html", context)


def _require_whole_book(request: HttpRequest) -> None:
    if not access.sees_whole_book(request.user, timezone.localdate()):
        raise Http404("There is no such page.")
