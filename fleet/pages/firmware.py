"""Firmware: models with their builds and what is due, one model, one build, and what is said of it."""

from collections.abc import Callable

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.models import FirmwarePolicy, FirmwareRelease, Passage, RadioModel
from fleet.pages import first_lines_firmware as first_lines
from fleet.pages.firmware_forms import BeginForm, BuildEntryForm, NumberingForm, OrderForm, PolicyForm
from fleet.queries.firmware import build_view, homes_on, models, others_of
from fleet.queries.updates import due
from fleet.verbs import firmware as verbs
from fleet.verbs.passages import PassageRefused, begin
from sites import access

ROWS_A_PAGE = 100

Forms = dict[str, forms.Form]


@require_safe
def firmware(request: HttpRequest) -> HttpResponse:
    require_whole_book(request)
    now = timezone.now()
    found, waiting = models(now), due(timezone.localdate())
    context = {
        "models": found,
        "due": waiting,
        "ended": Passage.objects.filter(state__in=("done", "given_up")).select_related(
            "model", "source", "target"
        )[:20],
        "first_line": first_lines.of_all(found, len(waiting)),
    }
    return render(request, "fleet/firmware.html", context)


@require_safe
def model(request: HttpRequest, code: str) -> HttpResponse:
    require_whole_book(request)
    return _model_page(request, get_object_or_404(RadioModel, code=code), {})


@require_safe
def build(request: HttpRequest, pk: int) -> HttpResponse:
    require_whole_book(request)
    return _build_page(request, get_object_or_404(FirmwareRelease, pk=pk), {})


@require_POST
def policy(request: HttpRequest, pk: int) -> HttpResponse:
    row = _build_to_decide(request, pk)
    form = PolicyForm(request.POST, release=row)

    def act(by: str) -> None:
        told = form.cleaned_data
        verbs.set_policy(row, FirmwarePolicy(told["policy"]), told["because"], by, timezone.now())

    if done(request, form, act, "Written down. The next round judges every home by it."):
        return redirect("firmware-build", row.pk)
    return _build_page(request, row, {"policy_form": form}, status=422)


@require_POST
def order(request: HttpRequest, pk: int) -> HttpResponse:
    row = _build_to_decide(request, pk)
    form = OrderForm(request.POST)

    def act(by: str) -> None:
        told = form.cleaned_data
        verbs.set_order(row, told["place"], told["reason"], by, timezone.now())

    if done(request, form, act, "Written down."):
        return redirect("firmware-build", row.pk)
    return _build_page(request, row, {"order_form": form}, status=422)


@require_POST
def numbering(request: HttpRequest, code: str) -> HttpResponse:
    row = _model_to_decide(request, code)
    form = NumberingForm(request.POST)

    def act(by: str) -> None:
        verbs.say_numbering(row, form.cleaned_data["numbering"], by, timezone.now())

    if done(request, form, act, "Written down."):
        return redirect("firmware-model", row.code)
    return _model_page(request, row, {"numbering_form": form}, status=422)


@require_POST
def enter(request: HttpRequest, code: str) -> HttpResponse:
    require_whole_book(request)
    access.require_change(request.user, timezone.localdate())
    row = get_object_or_404(RadioModel, code=code)
    form = BuildEntryForm(request.POST)

    def act(by: str) -> None:
        told = form.cleaned_data
        verbs.enter_release(row, told["version"], by, timezone.now(), told["band_plan"], told["digest"])

    if done(request, form, act, "Entered as seen. Say next what may be done with it."):
        return redirect("firmware-model", row.code)
    return _model_page(request, row, {"entry_form": form}, status=422)


@require_POST
def begin_passage(request: HttpRequest, code: str) -> HttpResponse:
    row = _model_to_decide(request, code)
    form = BeginForm(request.POST, model=row)
    if form.is_valid():
        try:
            passage = begin(form.wish, str(request.user), timezone.now())
        except PassageRefused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Begun: the rings are drawn, and the first is open.")
            return redirect("passage", passage.uid)
    return _model_page(request, row, {"begin_form": form}, status=422)


def done(request: HttpRequest, form: forms.Form, act: Callable[[str], None], told: str) -> bool:
    """Whether the form was right and the act was done; else its reason stands with the form."""
    if not form.is_valid():
        return False
    try:
        act(str(request.user))
    except verbs.FirmwareRefused as error:
        form.add_error(None, str(error))
        return False
    messages.success(request, told)
    return True


def _model_page(request: HttpRequest, row: RadioModel, tried: Forms, status: int = 200) -> HttpResponse:
    (found,) = models(timezone.now(), row.code)
    today = timezone.localdate()
    context = {
        "model": found,
        "passages": row.passages.select_related("source", "target")[:20],
        "may_decide": access.may_decide(request.user, today),
        "may_change": access.may_change(request.user, today),
        "numbering_form": tried.get("numbering_form") or NumberingForm(initial={"numbering": row.numbering}),
        "entry_form": tried.get("entry_form") or BuildEntryForm(auto_id="entry_%s"),
        "begin_form": tried.get("begin_form") or BeginForm(model=row, auto_id="begin_%s"),
        "first_line": first_lines.of_model(found),
    }
    return render(request, "fleet/firmware_model.html", context, status=status)


def _build_page(request: HttpRequest, row: FirmwareRelease, tried: Forms, status: int = 200) -> HttpResponse:
    found = build_view(row.pk, timezone.now())
    if found is None:
        raise Http404("There is no such build.")
    context = {
        "build": found,
        "release": found.row,
        "others": others_of(found.row),
        "changes": found.row.changes.all()[:50],
        "page": Paginator(homes_on(found.row), ROWS_A_PAGE).get_page(request.GET.get("page")),
        "may_decide": access.may_decide(request.user, timezone.localdate()),
        "policy_form": tried.get("policy_form") or PolicyForm(release=found.row, auto_id="policy_%s"),
        "order_form": tried.get("order_form")
        or OrderForm(initial={"place": found.row.order_key}, auto_id="order_%s"),
        "first_line": first_lines.of_build(found),
    }
    return render(request, "fleet/firmware_build.html", context, status=status)


def require_whole_book(request: HttpRequest) -> None:
    """Firmware is a matter of the whole book."""
    if not access.sees_whole_book(request.user, timezone.localdate()):
        raise Http404("There is no such page.")


def _model_to_decide(request: HttpRequest, code: str) -> RadioModel:
    require_whole_book(request)
    access.require_decide(request.user, timezone.localdate())
    return get_object_or_404(RadioModel, code=code)


def _build_to_decide(request: HttpRequest, pk: int) -> FirmwareRelease:
    require_whole_book(request)
    access.require_decide(request.user, timezone.localdate())
    return get_object_or_404(FirmwareRelease, pk=pk)
