"""The page of one document in the tray: why it waits, and what can be done about it."""

from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.forms import ClearForm, SendForm
from fleet.models import FieldGuideRow, Mesh, TrayItem, TrayReason
from fleet.pages import first_lines
from fleet.pages.offer import Said, offer_of
from fleet.queries.layouts import foreign, guide_for
from fleet.queries.mesh import meshes_for
from fleet.queries.tray import home_of, item_to_change, taken_in_as
from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.proposal import Proposal
from fleet.snapshots.proposing import propose
from fleet.verbs import tray
from fleet.verbs.intake import Kind, Receipt
from fleet.verbs.tray import TrayRefused

NOTHING_SAID = Said()


@require_safe
def item(request: HttpRequest, uid: UUID) -> HttpResponse:
    row = item_to_change(request.user, uid, timezone.localdate())
    if row.cleared_at is None:
        return item_page(request, row, look_into(row, str(request.user), timezone.now()))
    context = {
        "item": row,
        "mesh": row.mesh,
        "snapshot": taken_in_as(row),
        "first_line": first_lines.of_tray_item(row),
    }
    return render(request, "fleet/tray_left.html", context)


@require_POST
def clear(request: HttpRequest, uid: UUID) -> HttpResponse:
    row = item_to_change(request.user, uid, timezone.localdate())
    form = ClearForm(request.POST)
    if not form.is_valid():
        return _again(request, row, clear_form=form)
    try:
        because, erase = form.cleaned_data["reason"], form.cleaned_data["erase"]
        tray.clear(row, because, str(request.user), timezone.now(), erase)
    except TrayRefused as error:
        messages.error(request, str(error))
        return redirect("tray-item", uid)
    messages.success(
        request, "Cleared. " + ("What it held is erased." if erase else "What it holds stays sealed.")
    )
    return redirect("tray")


@require_POST
def send(request: HttpRequest, uid: UUID) -> HttpResponse:
    row = item_to_change(request.user, uid, timezone.localdate())
    form = SendForm(request.POST, meshes=meshes_for(request.user, timezone.localdate()))
    if not form.is_valid():
        return _again(request, row, send_form=form)
    try:
        receipt = tray.send_to(row, form.cleaned_data["mesh"], str(request.user), timezone.now())
    except TrayRefused as error:
        messages.error(request, str(error))
        return redirect("tray-item", uid)
    return _after_sending(request, receipt, form.cleaned_data["mesh"])


def _after_sending(request: HttpRequest, receipt: Receipt, mesh: Mesh) -> HttpResponse:
    if receipt.kind is Kind.TRAYED:
        messages.warning(request, f"{mesh.code} could not take it in; it waits there. See why below.")
        return redirect("tray-item", receipt.tray_item.uid)
    told = {
        Kind.STORED: f"Taken in for {mesh.code} and sealed.",
        Kind.REPEATED: f"{mesh.code} had this copy already; the arrival was noted, nothing was stored twice.",
    }
    messages.success(request, told[receipt.kind])
    return redirect("snapshot", receipt.snapshot.uid)


def _again(request: HttpRequest, row: TrayItem, **form: object) -> HttpResponse:
    """The page once more, with a form that needs a second look."""
    if row.cleared_at is not None:
        return redirect("tray-item", row.uid)
    return item_page(request, row, look_into(row, str(request.user), timezone.now()), **form)


@dataclass(frozen=True, slots=True)
class Look:
    """What is learnt from opening a waiting document.

    closed: why it cannot be opened. proposal: for a foreign layout; known: the guide that knows that layout.
    suggested: the mesh that a readable document names.
    """

    closed: str = ""
    body: bytes = field(default=b"", repr=False)
    document: JsonValue = field(default=None, repr=False)
    proposal: Proposal | None = None
    known: FieldGuideRow | None = None
    suggested: Mesh | None = None


def look_into(row: TrayItem, by: str, now: datetime) -> Look:
    """Open a document, which goes into the journal."""
    try:
        body = tray.open_item(row, by, now)
    except TrayRefused as error:
        return Look(closed=str(error))
    if row.reason in (TrayReason.WRONG_HOME, TrayReason.NO_MESH):
        return Look(suggested=home_of(body))
    document = foreign(body)
    if document is None:
        return Look()
    return Look("", body, document, propose(document), guide_for(document))


def item_page(
    request: HttpRequest, row: TrayItem, look: Look, said: Said = NOTHING_SAID, **given: object
) -> HttpResponse:
    """The page of a waiting document. given: forms with errors, or what came of trying a guide (tried, unclear)."""
    suggested = look.suggested.code if look.suggested else ""
    context = {
        "item": row,
        "mesh": row.mesh,
        "look": look,
        "offer": offer_of(look.proposal, said, row.mesh, look.known) if look.proposal else None,
        "clear_form": ClearForm(),
        "send_form": SendForm(initial={"mesh": suggested}, meshes=Mesh.objects.none()),
        "first_line": first_lines.of_tray_item(row, look.known is not None),
        **given,
    }
    return render(request, "fleet/tray_item.html", context)
