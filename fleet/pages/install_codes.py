"""Entering, showing and forgetting a device's install code. No answer here is kept by a browser."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from fleet.forms import InstallCodeForm, ReasonForm
from fleet.mesh.addresses import show_eui64
from fleet.mesh.install_codes import InstallCodeError, in_fours, show_install_code, show_key
from fleet.models import Node
from fleet.pages import device_lines
from fleet.pages.devices import device_page, reason_to_forget, reason_to_show
from fleet.queries.devices import device_to_change
from fleet.queries.install_codes import twins_of
from fleet.verbs import install_codes
from fleet.verbs.install_codes import CodeRefused, Kept, Revealed

TOLD = {
    Kept.ENTERED: "The install code fits its check digits and is sealed.",
    Kept.REPLACED: "The install code fits its check digits and is sealed in place of the one before.",
    Kept.SAME: "This code was held already; nothing has changed.",
}


@require_POST
@never_cache
@sensitive_post_parameters("code")
def enter(request: HttpRequest, code: str, address: str) -> HttpResponse:
    """A code that cannot be right is shown again beside the reason, in this answer and nowhere else."""
    node = device_to_change(request.user, code, address, timezone.localdate())
    form = InstallCodeForm(request.POST)
    if not form.is_valid():
        return device_page(request, node, entry=form)
    typed = form.cleaned_data["code"]
    try:
        kept = install_codes.enter(node, typed, str(request.user), timezone.now())
    except (InstallCodeError, CodeRefused) as error:
        form.add_error("code", str(error))
        form.data = {"code": in_fours(typed)}
        return device_page(request, node, entry=form)
    messages.success(request, TOLD[kept])
    if twins_of(node.install_code).exists():
        messages.warning(
            request, "Another device holds the same code. See below which, and read both labels again."
        )
    return _to_device(node)


@require_POST
@never_cache
def show(request: HttpRequest, code: str, address: str) -> HttpResponse:
    """The only page that shows a code, so it is the answer itself and not a redirect."""
    node = device_to_change(request.user, code, address, timezone.localdate())
    form = reason_to_show(request.POST)
    shown = _for_a_reason(request, node, form, install_codes.reveal)
    if shown is None:
        return device_page(request, node, showing=form)
    context = {
        "node": node,
        "mesh": node.mesh,
        "site": node.mesh.site,
        "client": node.mesh.site.client,
        "reason": form.cleaned_data["reason"],
        "code": show_install_code(shown.code),
        "link_key": show_key(shown.link_key),
        "address": show_eui64(node.extended_address),
        "first_line": device_lines.of_code(node),
    }
    return render(request, "fleet/device_code.html", context)


@require_POST
@never_cache
def forget(request: HttpRequest, code: str, address: str) -> HttpResponse:
    node = device_to_change(request.user, code, address, timezone.localdate())
    form = reason_to_forget(request.POST)
    _for_a_reason(request, node, form, install_codes.forget)
    if form.errors:
        return device_page(request, node, forgetting=form)
    messages.success(request, "The install code is no longer held.")
    return _to_device(node)


def _for_a_reason(
    request: HttpRequest, node: Node, form: ReasonForm, act: Callable[..., Revealed | None]
) -> Revealed | None:
    """What the act gives for the reason in the form; None, and the form says why, where it was refused."""
    if not form.is_valid():
        return None
    try:
        return act(node, form.cleaned_data["reason"], str(request.user), timezone.now())
    except CodeRefused as error:
        form.add_error("reason", str(error))
        return None


def _to_device(node: Node) -> HttpResponse:
    return redirect("device", node.mesh.code, node.extended_address)
