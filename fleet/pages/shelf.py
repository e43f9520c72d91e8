"""Shelves and vans: which spares count, what is wanting, one radio's page and what is done to it, and recalls."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.models import FirmwareRelease, Place, Radio, RadioState
from fleet.pages import first_lines_stock
from fleet.planning.radio_states import BY_HAND, RadioStanding
from fleet.planning.stock import LEAD_DAYS, SERVICE, why_not
from fleet.queries.stock import lying, recall, stock_of
from fleet.verbs import stock as verbs
from sites import access


class PlaceForm(forms.Form):
    """Where a radio goes. seen: where whoever moves it saw it."""

    target = forms.ModelChoiceField(
        label="Where to", queryset=Place.objects.all(), empty_label="choose a place", required=False
    )
    spot = forms.CharField(label="Where exactly", max_length=200, required=False)
    out = forms.BooleanField(label="It leaves the firm", required=False)
    because = forms.CharField(label="Why", max_length=200, required=False)
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def clean(self) -> dict[str, object]:
        told = super().clean()
        if bool(told.get("target")) == bool(told.get("out")):
            self.add_error("target", "Choose the place where it lies now, or say that it leaves the firm.")
        return told


class WhereForm(forms.ModelForm):
    """Where exactly a radio hangs or lies, and its feed."""

    class Meta:
        model = Radio
        fields = ("spot", "feed", "breaker")
        help_texts = {"spot": "Room, wall, height: a stranger must find it at night."}

    def _post_clean(self) -> None:
        """The verb writes the row."""


class StateForm(forms.Form):
    """What has become of a radio."""

    state = forms.ChoiceField(label="What has become of it", widget=forms.RadioSelect)
    because = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: object, radio: Radio, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        following = BY_HAND[RadioStanding(radio.state)]
        self.fields["state"].choices = [(state.value, state.words) for state in following]


class BuildForm(forms.Form):
    """Which build was written to a radio."""

    firmware = forms.ModelChoiceField(label="Firmware put on it", queryset=FirmwareRelease.objects.none())

    def __init__(self, *args: object, radio: Radio, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["firmware"].queryset = radio.model.releases.exclude(pk=radio.firmware_id)


@require_safe
def shelf(request: HttpRequest) -> HttpResponse:
    _require_whole_book(request)
    batch = request.GET.get("batch", "").strip()
    stock = stock_of(timezone.now())
    found = list(recall(batch))
    line = first_lines_stock.of_recall(batch, len(found)) if batch else first_lines_stock.of_shelf(stock)
    context = {
        "stock": stock,
        "batch": batch,
        "found": found,
        "lead": LEAD_DAYS,
        "service": SERVICE,
        "first_line": line,
    }
    return render(request, "fleet/shelf.html", context)


@require_safe
def radio(request: HttpRequest, code: str) -> HttpResponse:
    _require_whole_book(request)
    return _page(request, _radio(code), {})


@require_POST
def move(request: HttpRequest, code: str) -> HttpResponse:
    row = _to_change(request, code)
    form = PlaceForm(request.POST)

    def act(told: dict[str, Any], by: str) -> None:
        seen = Place.objects.filter(code=told["seen"]).first()
        verbs.move_radio(row, told["target"], seen, told["because"], by, timezone.now(), told["spot"])

    return _done(request, row, "moving", form, act, "It is written down where it lies.")


@require_POST
def where(request: HttpRequest, code: str) -> HttpResponse:
    row = _to_change(request, code)

    def act(told: dict[str, Any], by: str) -> None:
        verbs.say_where(row, told["spot"], told["feed"], told["breaker"], by, timezone.now())

    return _done(
        request, row, "placing", WhereForm(request.POST, instance=_radio(code)), act, "Written down."
    )


@require_POST
def blank(request: HttpRequest, code: str) -> HttpResponse:
    row = _to_change(request, code)

    def act(told: dict[str, Any], by: str) -> None:
        verbs.prove_blank(row, by, timezone.now())

    return _done(
        request, row, "proving", forms.Form(request.POST), act, "Proven blank, with your name and today."
    )


@require_POST
def state(request: HttpRequest, code: str) -> HttpResponse:
    row = _to_change(request, code)

    def act(told: dict[str, Any], by: str) -> None:
        verbs.set_state(row, RadioState(told["state"]), told["because"], by, timezone.now())

    return _done(request, row, "stating", StateForm(request.POST, radio=row), act, "Written down.")


@require_POST
def firmware(request: HttpRequest, code: str) -> HttpResponse:
    row = _to_change(request, code)

    def act(told: dict[str, Any], by: str) -> None:
        verbs.put_firmware(row, told["firmware"], by, timezone.now())

    done = "Written down. Read it out again: whether it is blank must be proven anew."
    return _done(request, row, "building", BuildForm(request.POST, radio=row), act, done)


def _done(
    request: HttpRequest,
    row: Radio,
    name: str,
    form: forms.Form,
    act: Callable[[dict[str, Any], str], None],
    told: str,
) -> HttpResponse:
    if form.is_valid():
        try:
            act(form.cleaned_data, str(request.user))
        except verbs.StockRefused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, told)
            return redirect("radio", row.code)
    return _page(request, _radio(row.code), {name: form}, status=422)


def _page(request: HttpRequest, row: Radio, tried: dict[str, forms.Form], status: int = 200) -> HttpResponse:
    place = row.place.code if row.place else ""
    following = BY_HAND[RadioStanding(row.state)]
    releases = row.model.releases.exclude(pk=row.firmware_id).exists()
    why = why_not(lying(row))
    context = {
        "radio": row,
        "why_not": why,
        "periods": list(row.periods.select_related("mesh__site").order_by("-since")),
        "moves": list(row.moves.select_related("source", "target")[:50]),
        "may_change": access.may_change(request.user, timezone.localdate()),
        "is_on_air": row.state == RadioState.ON_AIR,
        "may_be_blank": row.state not in (RadioState.ON_AIR, RadioState.SILENCED)
        and row.blank_proven_at is None,
        "moving": tried.get("moving") or PlaceForm(initial={"seen": place}),
        "stating": tried.get("stating") or (StateForm(radio=row) if following else None),
        "building": tried.get("building") or (BuildForm(radio=row) if releases else None),
        "proving": tried.get("proving"),
        "placing": tried.get("placing") or WhereForm(instance=row, auto_id="where_%s"),
        "first_line": first_lines_stock.of_radio(row, why),
    }
    return render(request, "fleet/radio.html", context, status=status)


def _radio(code: str) -> Radio:
    near = Radio.objects.select_related("model", "firmware", "place__site")
    return near.filter(code=code).first() or get_object_or_404(near.filter(code__iexact=code)[:1])


def _to_change(request: HttpRequest, code: str) -> Radio:
    _require_whole_book(request)
    access.require_change(request.user, timezone.localdate())
    return _radio(code)


def _require_whole_book(request: HttpRequest) -> None:
    if not access.sees_whole_book(request.user, timezone.localdate()):
        raise Http404("There is no such page.")
