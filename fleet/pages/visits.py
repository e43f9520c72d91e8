"""Visits: what is wanted, what is due and not wanted yet, one visit, and what is said of it."""

from collections.abc import Callable
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fleet.models import VisitState
from fleet.pages import first_lines_visits as first_lines
from fleet.pages.visit_forms import (
    EndForm,
    ForecastForm,
    NewVisitForm,
    PinForm,
    TermsForm,
    WaiveForm,
    terms_shown,
)
from fleet.planning.visits.request import Rule
from fleet.queries.visits.due import due_visits
from fleet.queries.visits.pages import WantedVisit, visit_named, visits_wanted
from fleet.verbs.visits import wanting
from fleet.verbs.visits.refusing import VisitRefused
from sites import access

ROWS_A_PAGE = 50
Pages = dict[str, forms.Form]


def require_whole_book(request: HttpRequest) -> None:
    """Http404 for partners: who drives where is the firm's."""
    if not access.sees_whole_book(request.user, timezone.localdate()):
        raise Http404("There is nothing here.")


def require_decide(request: HttpRequest) -> None:
    """Http404 for partners, PermissionDenied for those who do not decide for the firm."""
    require_whole_book(request)
    access.require_decide(request.user, timezone.localdate())


@require_safe
def visits(request: HttpRequest) -> HttpResponse:
    require_whole_book(request)
    wanted, due = visits_wanted(), due_visits(timezone.now())
    context = {
        "page": Paginator(wanted, ROWS_A_PAGE).get_page(request.GET.get("page")),
        "due": Paginator(due, ROWS_A_PAGE).get_page(request.GET.get("due")),
        "first_line": first_lines.of_visits(wanted, len(due)),
    }
    return render(request, "fleet/visits.html", context)


@require_POST
def want(request: HttpRequest) -> HttpResponse:
    require_whole_book(request)
    keys = " ".join(request.POST.getlist("work")[:500]).split()
    try:
        made = wanting.want_due(keys, str(request.user), timezone.now())
    except VisitRefused as error:
        messages.error(request, str(error))
        return redirect("visits")
    told = "One visit is" if len(made) == 1 else f"{len(made)} visits are"
    messages.success(request, f"{told} wanted now. Plan the days when all are.")
    return redirect("visit", made[0].uid) if len(made) == 1 else redirect("visits")


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    require_whole_book(request)
    first = {"home": request.GET.get("home", "")[:20]}
    form = NewVisitForm(request.POST) if request.method == "POST" else NewVisitForm(initial=first)
    if form.is_bound and form.is_valid():
        told = form.cleaned_data
        try:
            visit = wanting.want(
                told["home"],
                told["words"],
                told["terms"],
                str(request.user),
                timezone.now(),
                told["with_due"],
            )
        except VisitRefused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Written down. It gets its day when a plan is made.")
            return redirect("visit", visit.uid)
    context = {"form": form, "first_line": "Where is somebody to go, and what for?"}
    return render(request, "fleet/visit_form.html", context, status=422 if form.errors else 200)


@require_safe
def visit(request: HttpRequest, uid: str) -> HttpResponse:
    require_whole_book(request)
    return _shown(request, visit_named(uid), {})


@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, uid: str) -> HttpResponse:
    require_whole_book(request)
    row = visit_named(uid).row
    zone = ZoneInfo(row.site.time_zone)
    given = request.POST if request.method == "POST" else None
    form = TermsForm(given, zone=zone, initial=terms_shown(row))
    if form.is_bound and form.is_valid():
        try:
            wanting.change(row, form.cleaned_data["terms"], str(request.user), timezone.now())
        except VisitRefused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Written down. Plans that were made before do not know it yet.")
            return redirect("visit", uid)
    context = {"form": form, "visit": row, "site": row.site, "client": row.site.client}
    context["first_line"] = f"What has changed about visit {row.code}?"
    return render(request, "fleet/visit_form.html", context, status=422 if form.errors else 200)


@require_POST
def pin(request: HttpRequest, uid: str) -> HttpResponse:
    require_whole_book(request)

    def write(shown: WantedVisit, form: forms.Form) -> str:
        told = form.cleaned_data
        wanting.pin(shown.row, told["pinned_to"], told["pinned_at"], str(request.user), timezone.now())
        return (
            "It stays there in every plan." if told["pinned_to"] or told["pinned_at"] else "It is free again."
        )

    return _post(request, uid, "pin", write)


@require_POST
def waive(request: HttpRequest, uid: str) -> HttpResponse:
    require_decide(request)

    def write(shown: WantedVisit, form: forms.Form) -> str:
        told, by, now = form.cleaned_data, str(request.user), timezone.now()
        wanting.waive(shown.row, Rule(told["rule"]), told["name"], told["because"], by, now)
        return f"{told['name']} answers for it."

    return _post(request, uid, "waive", write)


@require_POST
def hold_again(request: HttpRequest, uid: str, rule: str) -> HttpResponse:
    require_decide(request)
    shown = visit_named(uid)
    if rule not in Rule._value2member_map_:
        raise Http404("There is no such rule.")
    try:
        wanting.hold_again(shown.row, Rule(rule), str(request.user), timezone.now())
    except VisitRefused as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "The rule holds again.")
    return redirect("visit", uid)


@require_POST
def forecast(request: HttpRequest, uid: str) -> HttpResponse:
    require_whole_book(request)

    def write(shown: WantedVisit, form: forms.Form) -> str:
        told = form.cleaned_data
        wanting.foretell(shown.row.site, told["day"], told["lowest_c"], str(request.user), timezone.now())
        return "The forecast is noted; plans from now on know it."

    return _post(request, uid, "forecast", write)


@require_POST
def end(request: HttpRequest, uid: str) -> HttpResponse:
    require_whole_book(request)

    def write(shown: WantedVisit, form: forms.Form) -> str:
        told = form.cleaned_data
        wanting.end(shown.row, VisitState(told["state"]), told["because"], str(request.user), timezone.now())
        return "Written down."

    return _post(request, uid, "end", write)


Write = Callable[[WantedVisit, forms.Form], str]


def _post(request: HttpRequest, uid: str, name: str, write: Write) -> HttpResponse:
    """One of the page's small forms: what it wrote, or the page again with what is not right."""
    shown = visit_named(uid)
    form = _forms(shown)[name]
    form = type(form)(request.POST, prefix=name, **_zone_of(form, shown))
    if form.is_valid():
        try:
            messages.success(request, write(shown, form))
        except VisitRefused as error:
            form.add_error(None, str(error))
        else:
            return redirect("visit", uid)
    return _shown(request, shown, {name: form}, 422)


def _shown(request: HttpRequest, shown: WantedVisit, bound: Pages, status: int = 200) -> HttpResponse:
    row = shown.row
    context = {
        "shown": shown,
        "visit": row,
        "site": row.site,
        "client": row.site.client,
        "forms": {**_forms(shown), **bound},
        "is_wanted": row.state == VisitState.WANTED,
        "may_decide": access.may_decide(request.user, timezone.localdate()),
        "first_line": first_lines.of_visit(shown),
    }
    return render(request, "fleet/visit.html", context, status=status)


def _forms(shown: WantedVisit) -> Pages:
    row = shown.row
    zone = ZoneInfo(row.site.time_zone)
    held = {"pinned_to": row.pinned_to_id, "pinned_at": row.pinned_at}
    return {
        "pin": PinForm(prefix="pin", zone=zone, initial=held),
        "waive": WaiveForm(prefix="waive"),
        "forecast": ForecastForm(prefix="forecast"),
        "end": EndForm(prefix="end"),
    }


def _zone_of(form: forms.Form, shown: WantedVisit) -> dict[str, ZoneInfo]:
    return {"zone": ZoneInfo(shown.row.site.time_zone)} if isinstance(form, PinForm) else {}
