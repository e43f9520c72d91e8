"""The tray: which documents wait, and why."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.pages import first_lines
from fleet.queries.tray import waiting_for, with_meshes

ITEMS_A_PAGE = 25


@require_safe
def tray(request: HttpRequest) -> HttpResponse:
    items = with_meshes(waiting_for(request.user, timezone.localdate()))
    page = Paginator(items, ITEMS_A_PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "now": timezone.now(), "first_line": first_lines.of_tray(page.paginator.count)}
    return render(request, "fleet/tray.html", context)
