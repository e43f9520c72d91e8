"""The calendar of a mesh's copies."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.pages import first_lines_over_time as first_lines
from fleet.planning.copy_calendar import DayMark
from fleet.queries.calendar import calendar_for
from fleet.queries.mesh import mesh_for

GAPS_NAMED = 3


@require_safe
def calendar(request: HttpRequest, code: str) -> HttpResponse:
    mesh = mesh_for(request.user, code, timezone.localdate())
    found = calendar_for(mesh, timezone.now())
    context = {
        "mesh": mesh,
        "site": mesh.site,
        "client": mesh.site.client,
        "found": found,
        "gaps": found.gaps[:GAPS_NAMED],
        "legend": [(mark, found.tally[mark]) for mark in DayMark if found.tally.get(mark)],
        "first_line": first_lines.of_calendar(code, found),
    }
    return render(request, "fleet/calendar.html", context)
