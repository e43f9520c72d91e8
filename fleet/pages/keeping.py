"""How long the copies of one mesh or one client are kept, and the pins that people set on them."""

from collections.abc import Callable
from functools import partial
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from fleet.forms import ReasonForm, RuleChoiceForm
from fleet.models import KeepRule, Mesh, Pin, PinKind
from fleet.pages import first_lines_keeping as first_lines
from fleet.pages.rule_change import Step, asked, is_settled, shown_or_saved
from fleet.queries.keeping import kept_copies
from fleet.queries.mesh import mesh_to_change, meshes_for
from fleet.queries.pins import marked_of, pins_of, with_days
from fleet.queries.rule_book import default_rule, rule_for
from fleet.queries.snapshot import snapshot_for
from fleet.verbs import pins
from fleet.verbs.keep_rules import Change, ClientChoice, MeshChoice
from sites import access

COPIES_A_PAGE = 20
PINS_SHOWN = 200


@sensitive_post_parameters("second_password")
def mesh_keeping(request: HttpRequest, code: str) -> HttpResponse:
    mesh = mesh_to_change(request.user, code, timezone.localdate())
    form = RuleChoiceForm(asked(request), initial={"rule": mesh.keep_rule})
    back = {"address": reverse("mesh-keeping", args=[code]), "name": f"Copies of {code}"}
    return _chosen(request, form, code, partial(MeshChoice, mesh), back) or _mesh_page(request, mesh, form)


def _chosen(
    request: HttpRequest,
    form: RuleChoiceForm,
    whose: str,
    change: Callable[[KeepRule | None], Change],
    back: dict[str, str],
) -> HttpResponse | None:
    """The effect of the rule that was chosen, or the way back once it is saved; None while there is none."""
    if not is_settled(request, form):
        return None
    rule = form.cleaned_data["rule"]
    words = f"{whose} by {f'the rule {rule.name}' if rule else 'no rule of its own'}"
    answer = shown_or_saved(request, Step(change(rule), form, words, back))
    if answer is None:
        messages.success(request, "Written down. The next round goes by it.")
        return redirect(back["address"])
    return answer


def _mesh_page(request: HttpRequest, mesh: Mesh, form: RuleChoiceForm) -> HttpResponse:
    rule = rule_for(mesh)
    page = Paginator(marked_of(mesh), COPIES_A_PAGE).get_page(request.GET.get("page"))
    marked, standing = page.paginator.count, list(pins_of(mesh)[:PINS_SHOWN])
    context = {
        "mesh": mesh,
        "site": mesh.site,
        "client": mesh.site.client,
        "rule": rule,
        "form": form,
        "page": page,
        "marked": with_days(page.object_list, rule.grace_days),
        "pins": standing,
        "held": any(pin.snapshot_id is None for pin in standing),
        "keep_form": ReasonForm(question="Why are they kept", auto_id="keep_%s"),
        "hold_form": ReasonForm(question="Why, and who ordered it", auto_id="hold_%s"),
        "may_decide": access.may_decide(request.user, timezone.localdate()),
        "first_line": first_lines.of_mesh_keeping(mesh, rule, kept_copies([mesh]).count() - marked, marked),
    }
    return render(request, "fleet/mesh_keeping.html", context)


@sensitive_post_parameters("second_password")
def client_keeping(request: HttpRequest, uid: UUID) -> HttpResponse:
    client = access.client_to_change(request.user, uid, timezone.localdate())
    choice = getattr(client, "keep_choice", None)
    own = choice.rule if choice else None
    form = RuleChoiceForm(asked(request), initial={"rule": own})
    back = {"address": reverse("client-keeping", args=[uid]), "name": client.name}
    if (answer := _chosen(request, form, client.name, partial(ClientChoice, client), back)) is not None:
        return answer
    context = {
        "client": client,
        "form": form,
        "rule": own or default_rule(),
        "meshes": Mesh.objects.filter(site__client=client).select_related("keep_rule", "site"),
        "first_line": first_lines.of_client_keeping(client, own or default_rule(), own is not None),
    }
    return render(request, "fleet/client_keeping.html", context)


@require_POST
def keep_all(request: HttpRequest, code: str) -> HttpResponse:
    """The bulk undo: every copy of the mesh that is marked stays."""
    mesh = mesh_to_change(request.user, code, timezone.localdate())
    if reason := _reason(request):
        count = pins.keep_all_marked(mesh, reason, str(request.user), timezone.now())
        said = "One copy is" if count == 1 else f"{count} copies are"
        messages.success(request, f"{said} kept until somebody takes the pin off.")
    return redirect("mesh-keeping", code)


@require_POST
def hold_mesh(request: HttpRequest, code: str) -> HttpResponse:
    mesh = mesh_to_change(request.user, code, timezone.localdate())
    access.require_decide(request.user, timezone.localdate())
    if reason := _reason(request):
        pins.hold_mesh(mesh, reason, str(request.user), timezone.now())
        messages.success(request, f"A legal hold stands on every copy of {code}, and on those to come.")
    return redirect("mesh-keeping", code)


@require_POST
def keep_copy(request: HttpRequest, uid: UUID) -> HttpResponse:
    """Keep one copy by hand, or put a legal hold on it."""
    today = timezone.localdate()
    copy = snapshot_for(request.user, uid, today)
    access.require_change(request.user, today)
    kind = PinKind.LEGAL if request.POST.get("kind") == PinKind.LEGAL else PinKind.BY_HAND
    if kind == PinKind.LEGAL:
        access.require_decide(request.user, today)
    if reason := _reason(request):
        try:
            pins.keep_by_hand(copy, reason, str(request.user), timezone.now(), kind)
        except pins.PinRefused as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, "This copy stays until somebody takes the pin off.")
    return redirect("snapshot", uid)


@require_POST
def end_pin(request: HttpRequest, pk: int) -> HttpResponse:
    today = timezone.localdate()
    open_to_them = Pin.objects.filter(mesh__in=meshes_for(request.user, today))
    pin = get_object_or_404(open_to_them.select_related("mesh", "snapshot"), pk=pk)
    access.require_change(request.user, today)
    if pin.kind == PinKind.LEGAL:
        access.require_decide(request.user, today)
    pins.end(pin, str(request.user), timezone.now())
    messages.success(
        request, "The pin is off. What nothing else holds is marked now and goes after the grace time."
    )
    return redirect("mesh-keeping", pin.mesh.code)


def _reason(request: HttpRequest) -> str:
    """The reason that was typed; where there is none, it is asked for and nothing else happens."""
    form = ReasonForm(request.POST)
    if form.is_valid():
        return form.cleaned_data["reason"]
    messages.error(request, "Nothing was changed: write a reason of up to 200 letters.")
    return ""
