"""How radios fail, those that never worked, and what their makers still stand for."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.models import Radio
from fleet.pages import first_lines_firmware as first_lines
from fleet.pages.firmware import require_whole_book
from fleet.pages.firmware_forms import ClaimForm, DeadForm
from fleet.planning.rate_chart import chart_of
from fleet.planning.service_years import ENOUGH_YEARS
from fleet.queries import failures as queries
from fleet.verbs import warranty as verbs
from sites import access


@require_safe
def failures(request: HttpRequest) -> HttpResponse:
    require_whole_book(request)
    return _page(request, None)


@require_POST
def dead(request: HttpRequest) -> HttpResponse:
    _require_change(request)
    form = DeadForm(request.POST, auto_id="dead_%s")
    if form.is_valid():
        told = form.cleaned_data
        try:
            verbs.note_dead(told["radio"], told["on"], told["because"], str(request.user), timezone.now())
        except verbs.WarrantyRefused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{told['radio'].code} is counted as dead on arrival.")
            return redirect("failures")
    return _page(request, form, status=422)


@require_POST
def claim(request: HttpRequest, code: str) -> HttpResponse:
    _require_change(request)
    radio = get_object_or_404(Radio, code=code)
    form = ClaimForm(request.POST)
    said = "; ".join(str(error) for errors in form.errors.values() for error in errors)
    if form.is_valid():
        try:
            verbs.note_claim(radio, form.cleaned_data["on"], str(request.user), timezone.now())
        except verbs.WarrantyRefused as error:
            said = str(error)
        else:
            messages.success(request, f"{radio.code} is claimed.")
            return redirect("failures")
    return _page(request, None, status=422, refused=f"{radio.code}: {said}")


def _page(
    request: HttpRequest, form: forms.Form | None, status: int = 200, refused: str = ""
) -> HttpResponse:
    today = timezone.localdate()
    found = queries.failures(timezone.now(), today)
    context = {
        "found": found,
        "chart": chart_of([(f"family {each.name}", each.rate.rate) for each in found.families]),
        "enough": ENOUGH_YEARS,
        "today": today,
        "refused": refused,
        "may_change": access.may_change(request.user, today),
        "dead_form": form or DeadForm(auto_id="dead_%s", initial={"on": today}),
        "first_line": first_lines.of_failures(found),
    }
    return render(request, "fleet/failures.html", context, status=status)


def _require_change(request: HttpRequest) -> None:
    require_whole_book(request)
    access.require_change(request.user, timezone.localdate())
