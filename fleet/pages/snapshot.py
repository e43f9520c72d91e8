"""The page of a snapshot, and taking one in by hand."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.forms import ReasonForm, SnapshotForm
from fleet.models import How
from fleet.pages import first_lines
from fleet.pages.mesh import mesh_page
from fleet.queries.mesh import mesh_for
from fleet.queries.pins import goes, missing_kinds
from fleet.queries.sealed import Erased
from fleet.queries.snapshot import page_of, snapshot_for
from fleet.verbs.intake import Kind, Origin, Receipt, receive
from sites import access


@require_safe
def snapshot(request: HttpRequest, uid: UUID) -> HttpResponse:
    today = timezone.localdate()
    row = snapshot_for(request.user, uid, today)
    shown, may_decide = page_of(row), access.may_decide(request.user, today)
    may_change = access.may_change(request.user, today) and row.mesh.site.client.erased_at is None
    context = {
        "snapshot": row,
        "mesh": row.mesh,
        "site": row.mesh.site,
        "client": row.mesh.site.client,
        "shown": shown,
        "may_give_out": row.gone_at is None and may_change,
        "may_change": may_change,
        "may_decide": may_decide,
        "may_pin": missing_kinds(row, shown.pins, may_decide) if may_change else [],
        "goes": goes(row),
        "keep_form": ReasonForm(question="Why does it stay"),
        "now": timezone.now(),
        "first_line": first_lines.of_snapshot(row),
    }
    return render(request, "fleet/snapshot.html", context)


@require_POST
def upload(request: HttpRequest, code: str) -> HttpResponse:
    """Take a document in. Whoever sees a mesh may send a copy of it: nothing is lost by one too many."""
    mesh = mesh_for(request.user, code, timezone.localdate())
    form = SnapshotForm(request.POST, request.FILES)
    if not form.is_valid():
        return mesh_page(request, mesh, form)
    document = form.cleaned_data["document"]
    origin = Origin(How.UPLOAD, str(request.user), document.name)
    try:
        receipt = receive(mesh, document.read(), origin, now=timezone.now())
    except Erased as error:
        messages.error(request, f"Nothing was taken in. {error}")
        return redirect("mesh", code)
    return _after(request, receipt)


def _after(request: HttpRequest, receipt: Receipt) -> HttpResponse:
    if receipt.kind is Kind.TRAYED:
        messages.warning(
            request, "The document waits in the tray: it could not be fitted to the mesh. See why below."
        )
        return redirect("tray")
    told = {
        Kind.STORED: "Taken in and sealed.",
        Kind.REPEATED: "This copy was here already; the arrival was noted, nothing was stored twice.",
    }
    messages.success(request, told[receipt.kind])
    return redirect("snapshot", receipt.snapshot.uid)
