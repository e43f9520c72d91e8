"""The air around a mesh: which channel it should be on, and what a survey heard."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from fleet.forms import WifiHeardForm
from fleet.models import WifiHeard
from fleet.pages import first_lines_air as first_lines
from fleet.queries.air import air_of
from fleet.queries.mesh import mesh_for, mesh_to_change
from fleet.queries.readiness import head_in_service
from fleet.verbs import survey
from sites import access


def air(request: HttpRequest, code: str) -> HttpResponse:
    """GET shows the advice; POST adds a network to the survey of today."""
    today = timezone.localdate()
    find = mesh_to_change if request.method == "POST" else mesh_for
    row = find(request.user, code, today)
    form = WifiHeardForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        survey.hear(row, form.save(commit=False), str(request.user), timezone.now())
        messages.success(request, "Written down.")
        return redirect("air", code)
    found = air_of(row, head_in_service(row))
    context = {
        "mesh": row,
        "site": row.site,
        "client": row.site.client,
        "air": found,
        "form": form,
        "because": first_lines.because(found),
        "may_change": access.may_change(request.user, today) and not row.site.client.erased_at,
        "first_line": first_lines.of_air(found),
    }
    return render(request, "fleet/air.html", context)


@require_POST
def nothing_heard(request: HttpRequest, code: str) -> HttpResponse:
    row = mesh_to_change(request.user, code, timezone.localdate())
    survey.hear_nothing(row, str(request.user), timezone.now())
    messages.success(request, "Written down: no Wi-Fi was heard today.")
    return redirect("air", code)


@require_POST
def strike(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    row = mesh_to_change(request.user, code, timezone.localdate())
    heard = get_object_or_404(WifiHeard, survey__mesh=row, pk=pk)
    survey.strike(heard)
    messages.success(request, f"{heard} is struck out.")
    return redirect("air", code)
