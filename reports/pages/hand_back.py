"""Making the hand-back pack of a home: the passphrase is shown first, then the file is made and never stored."""

import secrets

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from reports.verbs.hand_back import PackRefused, make_pack, passphrase_from
from sites import access
from sites.models import Site


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def hand_back(request: HttpRequest, code: str) -> HttpResponse:
    site = access.site_to_change(request.user, code, timezone.localdate())
    if request.method != "POST":
        return _page(request, site, passphrase_from(secrets.token_bytes(25)))
    passphrase, reason = request.POST.get("passphrase", ""), request.POST.get("reason", "")
    try:
        pack = make_pack(site, passphrase, reason, str(request.user), timezone.now())
    except PackRefused as error:
        return _page(request, site, passphrase or passphrase_from(secrets.token_bytes(25)), str(error))
    headers = {"Content-Disposition": f'attachment; filename="{pack.name}"'}
    return HttpResponse(pack.octets, content_type="application/zip", headers=headers)


def _page(request: HttpRequest, site: Site, passphrase: str, error: str = "") -> HttpResponse:
    context = {
        "site": site,
        "client": site.client,
        "passphrase": passphrase,
        "error": error,
        "first_line": f"Everything of {site.code}, in one file that only this passphrase opens.",
    }
    return render(request, "reports/hand_back.html", context, status=422 if error else 200)
