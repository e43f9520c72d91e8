"""Papers of a home: which are in force, issuing new ones, and the files themselves."""

from hashlib import sha256

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from reports.facts.errors import FactsError
from reports.models import Sheet
from reports.queries.readable import readable_by
from reports.queries.subjects import Subject, handover_of, recovery_of
from reports.verbs import issuing
from sites import access
from sites.models import Site


@require_safe
def sheets(request: HttpRequest, code: str) -> HttpResponse:
    today = timezone.localdate()
    site = access.site_for(request.user, code, today)
    issued = list(site.sheets.select_related("mesh", "replaced_by"))
    in_force = [sheet for sheet in issued if not hasattr(sheet, "replaced_by")]
    context = {
        "site": site,
        "client": site.client,
        "in_force": in_force,
        "replaced": [sheet for sheet in issued if hasattr(sheet, "replaced_by")],
        "meshes": site.meshes.filter(in_care=True).order_by("code"),
        "may_change": access.may_change(request.user, today),
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
    name = f"{sheet.site.code if sheet.site else sheet.kind}-{sheet.number}.pdf"
    headers["Content-Disposition"] = f'attachment; filename="{name}"'
    octets = _issued_octets(sheet)
    if octets is None:
        line = f"The file of sheet {sheet.number} is gone, or is not the one that was issued."
        context = {
            "first_line": line,
            "site": sheet.site,
            "client": sheet.site.client if sheet.site else sheet.client,
        }
        return render(request, "reports/damaged.html", context, status=410)
    return HttpResponse(octets, content_type="application/pdf", headers=headers)


def _issued_octets(sheet: Sheet) -> bytes | None:
    """The archived file where it is still the one that was issued, else None."""
    try:
        with sheet.file.open("rb") as file:
            octets = file.read()
    except FileNotFoundError:
        return None
    return octets if sha256(octets).hexdigest() == sheet.sha256 else None


def _first_line(site: Site, in_force: list[Sheet]) -> str:
    if not in_force:
        return f"No sheet has been issued for {site.code} yet."
    old = sum(sheet.stale_since is not None for sheet in in_force)
    count = "One sheet" if len(in_force) == 1 else f"{len(in_force)} sheets"
    stale = "" if not old else f", {'one' if old == 1 else old} of them out of date"
    return f"{count} of {site.code} {'is' if len(in_force) == 1 else 'are'} in force{stale}."
