"""Papers of a home: which are in force, issuing new ones, and the files themselves."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.models import Drill
from reports.facts.errors import FactsError
from reports.models import Sheet
from reports.pages.evidence import usual_days
from reports.pages.files import damaged, pdf
from reports.queries.life import links_of, mails_of, signed
from reports.queries.readable import readable_by
from reports.queries.subjects import Subject, handover_of, recovery_of
from reports.queries.verifying import KEPT_UP
from reports.verbs import issuing
from reports.verbs.archived import Damaged, file_name, octets_of
from reports.verbs.links import is_over
from sites import access
from sites.models import Site

EACH_SHOWN = 20
DRILLS_SHOWN = 10


@require_safe
def sheets(request: HttpRequest, code: str) -> HttpResponse:
    today = timezone.localdate()
    site = access.site_for(request.user, code, today)
    issued = list(site.sheets.select_related("mesh", "replaced_by"))
    in_force = [sheet for sheet in issued if not hasattr(sheet, "replaced_by")]
    signatures = signed(issued)
    for sheet in issued:
        sheet.signed = signatures[sheet.pk]
    now = timezone.now()
    context = {
        "site": site,
        "client": site.client,
        "in_force": in_force,
        "replaced": [sheet for sheet in issued if hasattr(sheet, "replaced_by")],
        "links": [(link, is_over(link, now)) for link in links_of(site.sheets.all())[:EACH_SHOWN]],
        "mails": mails_of(site.sheets.all())[:EACH_SHOWN],
        "meshes": site.meshes.filter(in_care=True).order_by("code"),
        "drills": Drill.objects.filter(mesh__site=site)
        .select_related("mesh")
        .order_by("-done_at")[:DRILLS_SHOWN],
        "may_change": access.may_change(request.user, today),
        "evidence_days": usual_days(site),
        "first_line": _first_line(site, in_force),
    }
    return render(request, "reports/sheets.html", context)


@require_POST
def issue_handover(request: HttpRequest, code: str) -> HttpResponse:
    site = access.site_to_change(request.user, code, timezone.localdate())
    return _issue(request, handover_of(site))


@require_POST
def issue_recovery(request: HttpRequest, code: str, mesh_code: str) -> HttpResponse:
    site = access.site_to_change(request.user, code, timezone.localdate())
    return _issue(request, recovery_of(get_object_or_404(site.meshes, code=mesh_code)))


def _issue(request: HttpRequest, subject: Subject) -> HttpResponse:
    try:
        sheet = issuing.issue(subject, str(request.user), timezone.now())
    except FactsError as error:
        messages.error(request, f"Nothing was issued. {error}")
    else:
        messages.success(request, f"{sheet.get_kind_display()} {sheet.number} is in force.")
    return redirect("sheets", subject.site.code)


@require_safe
def sheet_file(request: HttpRequest, number: str) -> HttpResponse:
    """The PDF as it was issued; its digest is the entity tag (RFC 9110), so a reader can check what came."""
    sheet = get_object_or_404(readable_by(request.user, timezone.localdate()), number=number)
    tag = f'"{sheet.sha256}"'
    headers = {"ETag": tag, "Cache-Control": "private, no-cache"}
    if tag in request.headers.get("If-None-Match", ""):
        return HttpResponse(status=304, headers=headers)
    try:
        return pdf(octets_of(sheet), file_name(sheet), headers)
    except Damaged as error:
        return damaged(request, error, sheet)


def _first_line(site: Site, in_force: list[Sheet]) -> str:
    if not in_force:
        return f"No sheet has been issued for {site.code} yet."
    if site.client.erased_at is not None:
        return f"What was issued for {site.code} is no longer kept up: its client was erased."
    kept_up = [sheet for sheet in in_force if sheet.kind in KEPT_UP]
    old = sum(sheet.stale_since is not None for sheet in kept_up)
    count = "One sheet" if len(kept_up) == 1 else f"{len(kept_up) or 'No'} sheets"
    stale = "" if not old else f", {'one' if old == 1 else old} of them out of date"
    records = len(in_force) - len(kept_up)
    beside = f"; {records} more show{'s' if records == 1 else ''} the day of issue" if records else ""
    return f"{count} of {site.code} {'is' if len(kept_up) == 1 else 'are'} in force{stale}{beside}."
