"""PDFs as answers."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from reports.models import Sheet
from reports.verbs.archived import Damaged


def pdf(octets: bytes, name: str, headers: dict[str, str] | None = None) -> HttpResponse:
    """A PDF to save under this name."""
    told = {"Content-Disposition": f'attachment; filename="{name}"', **(headers or {})}
    return HttpResponse(octets, content_type="application/pdf", headers=told)


def damaged(request: HttpRequest, error: Damaged, sheet: Sheet | None) -> HttpResponse:
    """The archived file is not the one that was issued. sheet: where the reader may see its home."""
    site = sheet.site if sheet else None
    client = (site.client if site else sheet.client) if sheet else None
    context = {"first_line": str(error), "site": site, "client": client}
    return render(request, "reports/damaged.html", context, status=410)
