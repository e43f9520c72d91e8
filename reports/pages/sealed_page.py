"""The sealed page of a mesh: its passphrase is shown once, two people agree, the file is handed over and not kept."""

import secrets

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from fleet.queries.mesh import mesh_to_change
from fleet.verbs.two_people import Who
from reports.forms import SealedPageForm
from reports.verbs.passphrase import DRAWN_OCTETS, drawn_from
from reports.verbs.sealed_page import Asked, SealedPageRefused, make_sealed_page


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_post_parameters("passphrase", "second_password")
def sealed_page(request: HttpRequest, code: str) -> HttpResponse:
    """GET: a fresh passphrase and a form. POST: the file, or the form again with what is wrong."""
    mesh = mesh_to_change(request.user, code, timezone.localdate())
    form = SealedPageForm(request.POST or None, first=request.user, today=timezone.localdate())
    passphrase = request.POST.get("passphrase") or drawn_from(secrets.token_bytes(DRAWN_OCTETS))
    if form.is_valid():
        told = form.cleaned_data
        asked = Asked(Who.of(request.user), told["reason"], Who.of(told["second"]))
        try:
            made = make_sealed_page(mesh, passphrase, asked, timezone.now())
        except SealedPageRefused as error:
            form.add_error(None, str(error))
        else:
            headers = {"Content-Disposition": content_disposition_header(True, made.name)}
            return HttpResponse(made.octets, content_type="application/pdf", headers=headers)
    context = {
        "mesh": mesh,
        "site": mesh.site,
        "client": mesh.site.client,
        "passphrase": passphrase,
        "form": form,
        "first_line": f"The keys and codes of {mesh.code} on a page of their own, by two people only.",
    }
    return render(request, "reports/sealed_page.html", context, status=422 if form.errors else 200)
