"""Beginning a drill, and its card: step by step with a clock, the file for the spare, and how it ended."""

from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fleet.models import Rehearsal, RehearsalEnd
from fleet.pages import first_lines_drilling
from fleet.pages.drill_forms import BeginForm, EndForm, SecondForm, StepForm
from fleet.pages.writing import counted
from fleet.planning.drilling.steps import Step
from fleet.queries.drilling.card import card_of, rehearsal_for, rehearsal_to_change
from fleet.queries.mesh import mesh_to_change
from fleet.queries.restoring import GrantRefused
from fleet.verbs.drilling.bench import DrillRefused
from fleet.verbs.drilling.holding import begin, end, finish_step, give_out
from sites import access

Forms = dict[str, forms.Form]


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest, code: str) -> HttpResponse:
    mesh = mesh_to_change(request.user, code, timezone.localdate())
    form = BeginForm(request.POST if request.method == "POST" else None, mesh=mesh)
    if request.method == "POST" and form.is_valid():
        try:
            row = begin(mesh, form.intent(), str(request.user), timezone.now())
        except DrillRefused as error:
            _say(form, error)
        else:
            messages.success(request, "The drill has begun, and its clock runs.")
            return redirect("drill", row.uid)
    context = {
        "mesh": mesh,
        "site": mesh.site,
        "client": mesh.site.client,
        "form": form,
        "under_way": mesh.rehearsals.filter(ended_at=None).first(),
        "swap": mesh.replacements.under_way().first(),
        "first_line": f"Which drill is held for {mesh.code}?",
    }
    return render(request, "fleet/drill_new.html", context, status=422 if form.errors else 200)


@require_safe
@never_cache
def card(request: HttpRequest, uid: UUID) -> HttpResponse:
    return _page(request, rehearsal_for(request.user, uid, timezone.localdate()), {})


@require_POST
def step(request: HttpRequest, uid: UUID, name: str) -> HttpResponse:
    """One step done, by somebody who saw it on the card."""
    row = rehearsal_to_change(request.user, uid, timezone.localdate())
    seen, form = _step(name), StepForm(request.POST)
    if form.is_valid():
        try:
            finish_step(row, seen, form.cleaned_data["problem"], str(request.user), timezone.now())
        except DrillRefused as error:
            _say(form, error)
        else:
            return redirect("drill", row.uid)
    return _page(request, rehearsal_for(request.user, uid, timezone.localdate()), {"step": form}, status=422)


@require_POST
@never_cache
@sensitive_post_parameters("second_password")
def write(request: HttpRequest, uid: UUID) -> HttpResponse:
    """The document for the spare, with the drill's own numbers, as a download."""
    row = rehearsal_to_change(request.user, uid, timezone.localdate())
    form = SecondForm(request.POST, first=request.user, today=timezone.localdate())
    if form.is_valid():
        second = form.cleaned_data["second"]
        try:
            grant = give_out(row, str(request.user), timezone.now(), str(second) if second else "")
        except (DrillRefused, GrantRefused) as error:
            form.add_error(None, str(error))
        else:
            first = grant.numbers.first
            messages.success(request, f"Given out: {counted(first)}. Write only the highest number.")
            name = content_disposition_header(True, f"{row.mesh.code}-drill-{first}.json")
            return HttpResponse(
                grant.document, content_type="application/json", headers={"Content-Disposition": name}
            )
    return _page(request, rehearsal_for(request.user, uid, timezone.localdate()), {"write": form}, status=422)


@require_POST
def finish(request: HttpRequest, uid: UUID, how: str) -> HttpResponse:
    """Passed, failed or aborted."""
    row = rehearsal_to_change(request.user, uid, timezone.localdate())
    if how not in RehearsalEnd.values:
        raise Http404("A drill does not end so.")
    ending = RehearsalEnd(how)
    form = EndForm(request.POST, how=ending)
    if form.is_valid():
        note = form.cleaned_data.get("note", "")
        try:
            end(row, ending, note, str(request.user), timezone.now())
        except DrillRefused as error:
            _say(form, error)
        else:
            messages.success(request, f"Noted: {ending.label.lower()}.")
            return redirect("drill", row.uid)
    return _page(request, rehearsal_for(request.user, uid, timezone.localdate()), {how: form}, status=422)


def _page(request: HttpRequest, row: Rehearsal, tried: Forms, status: int = 200) -> HttpResponse:
    today = timezone.localdate()
    shown = card_of(row, timezone.now())
    mesh = row.mesh
    second = SecondForm(first=request.user, today=today) if shown.doubts and shown.writes else None
    context = {
        "row": row,
        "mesh": mesh,
        "site": mesh.site,
        "client": mesh.site.client,
        "shown": shown,
        "may_change": access.may_change(request.user, today) and mesh.site.client.erased_at is None,
        "refused": [error for form in tried.values() for errors in form.errors.values() for error in errors],
        "stepping": tried.get("step") or StepForm(),
        "writing": (tried.get("write") if shown.doubts else None) or second,
        "failing": tried.get("failed") or EndForm(how=RehearsalEnd.FAILED),
        "aborting": tried.get("aborted") or EndForm(how=RehearsalEnd.ABORTED),
        "first_line": first_lines_drilling.of_card(shown),
    }
    return render(request, "fleet/drill.html", context, status=status)


def _say(form: forms.Form, error: DrillRefused) -> None:
    """Beside the field that it names, where the form has it."""
    field, _, said = str(error).partition(": ")
    if field in form.fields:
        form.add_error(field, said[:1].upper() + said[1:])
    else:
        form.add_error(None, str(error))


def _step(name: str) -> Step:
    try:
        return Step(name)
    except ValueError:
        raise Http404("There is no such step.") from None
