"""The devices of a mesh, the page of one, and the form for what people know of it."""

from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.forms import DeviceForm, InstallCodeForm, ReasonForm
from fleet.models import Node
from fleet.pages import device_lines
from fleet.queries.devices import device_for, device_to_change, devices_of, page_of
from fleet.queries.mesh import mesh_for
from fleet.verbs import devices as verbs
from sites import access


@require_safe
def devices(request: HttpRequest, code: str) -> HttpResponse:
    mesh = mesh_for(request.user, code, timezone.localdate())
    now = timezone.now()
    shown = devices_of(mesh, now)
    context = {
        "mesh": mesh,
        "site": mesh.site,
        "client": mesh.site.client,
        "shown": shown,
        "now": now,
        "first_line": device_lines.of_list(mesh.code, shown.nodes),
    }
    return render(request, "fleet/devices.html", context)


@require_safe
def device(request: HttpRequest, code: str, address: str) -> HttpResponse:
    return device_page(request, device_for(request.user, code, address, timezone.localdate()))


def device_page(
    request: HttpRequest,
    node: Node,
    entry: InstallCodeForm | None = None,
    showing: ReasonForm | None = None,
    forgetting: ReasonForm | None = None,
) -> HttpResponse:
    """The page, with forms about its install code of which one may carry errors."""
    now = timezone.now()
    shown = page_of(node, now)
    context = {
        "node": node,
        "mesh": node.mesh,
        "site": node.mesh.site,
        "client": node.mesh.site.client,
        "shown": shown,
        "entry": entry or InstallCodeForm(),
        "showing": showing or reason_to_show(),
        "forgetting": forgetting or reason_to_forget(),
        "may_change": access.may_change(request.user, timezone.localdate()),
        "now": now,
        "first_line": device_lines.of_device(node, shown.heard, now),
    }
    return render(request, "fleet/device.html", context)


def reason_to_show(data: object = None) -> ReasonForm:
    return ReasonForm(data, prefix="show", question="Why do you need it?")


def reason_to_forget(data: object = None) -> ReasonForm:
    return ReasonForm(data, prefix="forget", question="Why should it go?")


def change_device(request: HttpRequest, code: str, address: str) -> HttpResponse:
    now = timezone.now()
    node = device_to_change(request.user, code, address, timezone.localdate())
    today = now.astimezone(ZoneInfo(node.mesh.site.time_zone)).date()
    there = reverse("device", args=[code, node.extended_address])
    form = DeviceForm(request.POST or None, instance=node, today=today)
    if form.is_valid():
        if form.has_changed():
            verbs.put_down(form.save(commit=False), form.changed_data, str(request.user), now)
        messages.success(request, "Written down.")
        return redirect(there)
    back = {"address": there, "name": device_lines.name_of(node)}
    question = "What do we know of this device?"
    return render(request, "sites/form.html", {"form": form, "first_line": question, "back": back})
