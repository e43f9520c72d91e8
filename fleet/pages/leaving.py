"""How an agreement ends: the twelve steps with their days, and ticking them off."""

from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.pages import first_lines, first_lines_leaving
from fleet.planning.leaving import Step
from fleet.queries.leaving import ending_soon, steps_for
from fleet.verbs import leaving as verbs
from sites import access
from sites.models import Agreement, Site


@require_safe
def leavings(request: HttpRequest) -> HttpResponse:
    """The agreements that end within 90 days, each with its next step."""
    now, today = timezone.now(), timezone.localdate()
    rows = ending_soon(request.user, now, today)
    first_line = first_lines_leaving.of_leavings(rows)
    return render(request, "fleet/leavings.html", {"rows": rows, "now": now, "first_line": first_line})


@require_safe
def leaving(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    site = access.site_for(request.user, code, timezone.localdate())
    agreement = _ending(site, pk)
    now = timezone.now()
    today = now.astimezone(ZoneInfo(site.time_zone)).date()
    steps = steps_for(agreement, today)
    context = {
        "site": site,
        "client": site.client,
        "agreement": agreement,
        "steps": steps,
        "may_change": access.may_change(request.user, timezone.localdate()),
        "now": now,
        "first_line": first_lines.of_leaving(site.code, agreement.ends_on, today, steps),
    }
    return render(request, "fleet/leaving.html", context)


@require_POST
def tick(request: HttpRequest, code: str, pk: int, step: str) -> HttpResponse:
    site = access.site_to_change(request.user, code, timezone.localdate())
    agreement = _ending(site, pk)
    wanted = _step(step)
    now = timezone.now()
    if request.POST.get("take_back"):
        verbs.untick(agreement, wanted, str(request.user), now)
        messages.success(request, "Taken back.")
    else:
        today = now.astimezone(ZoneInfo(site.time_zone)).date()
        verbs.tick(agreement, wanted, request.POST.get("note", ""), str(request.user), today, now)
        messages.success(request, "Noted as done.")
    return redirect("leaving", site.code, agreement.pk)


def _ending(site: Site, pk: int) -> Agreement:
    agreements = site.agreements.exclude(ends_on=None).prefetch_related("leaving_steps")
    return get_object_or_404(agreements.select_related("site__client"), pk=pk)


def _step(word: str) -> Step:
    try:
        step = Step(word)
    except ValueError:
        raise Http404("There is no such step.") from None
    if step is Step.NOTICE:
        raise Http404("That day passes by itself.")
    if step is Step.ERASE:
        raise Http404("Erasing the client notes it.")
    return step
