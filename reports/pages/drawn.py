"""Papers that a drawn passphrase opens: it is shown first, then the file is made, handed over and never stored."""

import secrets
from collections.abc import Callable
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from fleet.models import Mesh
from reports.verbs.hand_back import PackRefused, make_pack
from reports.verbs.paper_copy import PaperRefused, print_paper_copy
from reports.verbs.passphrase import DRAWN_OCTETS, drawn_from
from sites import access

Made = tuple[str, bytes]
Make = Callable[[str, str, str, datetime], Made]


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def hand_back(request: HttpRequest, code: str) -> HttpResponse:
    """All of a home for whoever looks after it next, as an encrypted ZIP."""
    site = access.site_to_change(request.user, code, timezone.localdate())

    def make(passphrase: str, reason: str, by: str, now: datetime) -> Made:
        pack = make_pack(site, passphrase, reason, by, now)
        return pack.name, pack.octets

    context = {
        "site": site,
        "client": site.client,
        "first_line": f"Everything of {site.code}, in one file that only this passphrase opens.",
    }
    return _page(request, "reports/hand_back.html", context, "application/zip", make)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def paper_copy(request: HttpRequest, code: str) -> HttpResponse:
    """The newest sound copy of a mesh on paper."""
    meshes = Mesh.objects.filter(site__in=access.sites_for(request.user, timezone.localdate()))
    mesh = get_object_or_404(meshes.select_related("site__client"), code=code)
    access.require_change(request.user, timezone.localdate())

    def make(passphrase: str, reason: str, by: str, now: datetime) -> Made:
        printed = print_paper_copy(mesh, passphrase, reason, by, now)
        return printed.name, printed.octets

    context = {
        "mesh": mesh,
        "site": mesh.site,
        "client": mesh.site.client,
        "first_line": f"The newest sound copy of {mesh.code} on paper, for the day this book is gone.",
    }
    return _page(request, "reports/paper_copy.html", context, "application/pdf", make)


def _page(
    request: HttpRequest, template: str, context: dict[str, object], kind: str, make: Make
) -> HttpResponse:
    """GET: a fresh passphrase and a form. POST: the file, or the form again with what is wrong."""
    passphrase = request.POST.get("passphrase") or drawn_from(secrets.token_bytes(DRAWN_OCTETS))
    shown = {**context, "passphrase": passphrase}
    if request.method != "POST":
        return render(request, template, shown)
    try:
        name, octets = make(passphrase, request.POST.get("reason", ""), str(request.user), timezone.now())
    except (PackRefused, PaperRefused) as error:
        return render(request, template, {**shown, "error": str(error)}, status=422)
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(octets, content_type=kind, headers=headers)
