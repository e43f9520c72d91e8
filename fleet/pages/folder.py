"""The folder of a home: everything about it on one page, for the table, the van and the printer."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.pages import gone
from fleet.queries.folder import folder_of
from sites import access


@require_safe
def folder(request: HttpRequest, code: str) -> HttpResponse:
    today, now = timezone.localdate(), timezone.now()
    site = access.site_for(request.user, code, today)
    shown = folder_of(site, today)
    context = {
        "folder": shown,
        "site": site,
        "client": site.client,
        "now": now,
        "today": today,
        "may_change": access.may_change(request.user, today) and not site.client.erased_at,
        "first_line": gone.of_home(site.client, site.code, shown.worst, shown.in_care, site.time_zone, now),
    }
    return render(request, "fleet/folder.html", context)
