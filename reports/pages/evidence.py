"""Issuing an evidence pack of a home from its papers page."""

from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from reports.facts.errors import FactsError
from reports.facts.stretches import Days, days_named, year_up_to
from reports.queries.subjects import evidence_of
from reports.verbs import issuing
from sites import access
from sites.models import Site


@require_POST
def issue(request: HttpRequest, code: str) -> HttpResponse:
    """For the days that were chosen; without any, the year up to yesterday."""
    site = access.site_to_change(request.user, code, timezone.localdate())
    today = timezone.now().astimezone(ZoneInfo(site.time_zone)).date()
    try:
        days = days_named(request.POST.get("from", ""), request.POST.get("until", ""), today)
        sheet = issuing.issue(evidence_of(site, *days), str(request.user), timezone.now())
    except FactsError as error:
        messages.error(request, f"Nothing was issued. {error}")
    else:
        messages.success(request, f"{sheet.get_kind_display()} {sheet.number} is issued.")
    return redirect("sheets", site.code)


def usual_days(site: Site) -> Days:
    """What the form begins with."""
    return year_up_to(timezone.now().astimezone(ZoneInfo(site.time_zone)).date())
