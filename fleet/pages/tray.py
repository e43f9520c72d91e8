"""The tray: which documents wait, and why; which have left it."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.pages import first_lines
from fleet.queries.tray import cleared_for, waiting_for, with_meshes
from sites import access

ITEMS_A_PAGE = 25


@require_safe
def tray(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    cleared = "cleared" in request.GET
    items = cleared_for(request.user, today) if cleared else waiting_for(request.user, today)
    page = Paginator(with_meshes(items), ITEMS_A_PAGE).get_page(request.GET.get("page"))
    count = page.paginator.count
    context = {
        "page": page,
        "cleared": cleared,
        "keep": "cleared=1&" if cleared else "",
        "may_change": access.may_change(request.user, today),
        "first_line": first_lines.of_cleared(count) if cleared else first_lines.of_tray(count),
    }
    return render(request, "fleet/tray.html", context)
