"""The page of a mesh, the form that enters or changes one, and its push tokens."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from fleet.forms import MeshForm, PushTokenForm, SnapshotForm
from fleet.models import Mesh
from fleet.pages import gone
from fleet.queries.incidents import incidents_in
from fleet.queries.mesh import mesh_for, mesh_to_change, page_of, snapshots_of
from fleet.queries.pins import keeping_of
from fleet.verbs import meshes, push_tokens
from sites import access

SNAPSHOTS_A_PAGE = 20


@require_safe
def mesh(request: HttpRequest, code: str) -> HttpResponse:
    return mesh_page(request, mesh_for(request.user, code, timezone.localdate()))


def mesh_page(request: HttpRequest, row: Mesh, upload: SnapshotForm | None = None) -> HttpResponse:
    """The page, with an upload form that may carry errors."""
    now = timezone.now()
    incidents_in(Mesh.objects.filter(pk=row.pk)).mark([row])
    context = {
        "mesh": row,
        "site": row.site,
        "client": row.site.client,
        "shown": page_of(row, now),
        "stranded_since": row.stranded_since,
        "snapshots": Paginator(snapshots_of(row), SNAPSHOTS_A_PAGE).get_page(request.GET.get("page")),
        "upload": upload or SnapshotForm(),
        "keeping": keeping_of(row),
        "token_form": PushTokenForm(),
        "push_address": request.build_absolute_uri(reverse("push", args=[row.code])),
        "may_change": access.may_change(request.user, timezone.localdate()) and not row.site.client.erased_at,
        "now": now,
        "first_line": gone.of_home(row.site.client, row.code, row, [row], row.site.time_zone, now),
    }
    return render(request, "fleet/mesh.html", context)


def new_mesh(request: HttpRequest, code: str) -> HttpResponse:
    site = access.site_to_change(request.user, code, timezone.localdate())
    form = MeshForm(request.POST or None, instance=Mesh(site=site), initial={"code": f"{code}-A"})
    return _form_page(request, form, f"Which mesh stands at {code}?", reverse("folder", args=[code]), code)


def change_mesh(request: HttpRequest, code: str) -> HttpResponse:
    row = mesh_to_change(request.user, code, timezone.localdate())
    form = MeshForm(request.POST or None, instance=row)
    return _form_page(request, form, f"What has changed about {code}?", reverse("mesh", args=[code]), code)


def _form_page(
    request: HttpRequest, form: MeshForm, question: str, back: str, back_name: str
) -> HttpResponse:
    if form.is_valid():
        row = form.save(commit=False)
        meshes.put_down(row, form.changed_data, str(request.user), timezone.now())
        messages.success(request, "Written down.")
        return redirect("mesh", row.code)
    context = {"form": form, "first_line": question, "back": {"address": back, "name": back_name}}
    return render(request, "sites/form.html", context)


@require_POST
@never_cache
def make_token(request: HttpRequest, code: str) -> HttpResponse:
    """The only page that ever shows the token's text, so it is the answer itself and not a redirect."""
    row = mesh_to_change(request.user, code, timezone.localdate())
    form = PushTokenForm(request.POST)
    if not form.is_valid():
        messages.error(request, "A push token needs a label: which machine will push?")
        return redirect("mesh", code)
    token, text = push_tokens.make(row, form.cleaned_data["label"], str(request.user), timezone.now())
    context = {
        "mesh": row,
        "token": token,
        "text": text,
        "push_address": request.build_absolute_uri(reverse("push", args=[code])),
        "first_line": "Copy this token now: it is shown once.",
    }
    return render(request, "fleet/token.html", context)


@require_POST
def end_token(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    row = mesh_to_change(request.user, code, timezone.localdate())
    token = get_object_or_404(row.push_tokens.select_related("mesh"), pk=pk)
    push_tokens.revoke(token, str(request.user), timezone.now())
    messages.success(request, f"The token “{token.label}” pushes no more.")
    return redirect("mesh", code)
