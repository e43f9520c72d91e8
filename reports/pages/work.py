"""Papers about work: the job sheet of a replacement, the record of a drill, the certificate of an erasure."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.views.decorators.http import require_http_methods, require_POST

from fleet.models import Erasure, Radio
from fleet.queries.mesh import mesh_to_change
from fleet.queries.readiness import judged
from fleet.queries.restore_page import Candidate, candidates
from fleet.queries.spares import SpareShelf
from reports.facts.errors import FactsError
from reports.forms import JobForm
from reports.queries.subjects import Subject, drill_of, erasure_of, job_of
from reports.verbs import issuing
from sites import access


@require_http_methods(["GET", "HEAD", "POST"])
def job_sheet(request: HttpRequest, code: str) -> HttpResponse:
    """Which radio is to take over, then its sheet."""
    mesh = mesh_to_change(request.user, code, timezone.localdate())
    now = timezone.now()
    found = [each for each in candidates(judged(mesh, SpareShelf.load(), now)) if each.spare is not None]
    form = JobForm(
        request.POST if request.method == "POST" else None,
        radios=[(each.radio.code, _in_words(each)) for each in found],
        initial=_chosen(request.GET.get("radio", ""), found),
    )
    if form.is_valid():
        radio: Radio = form.cleaned_data["radio"]
        try:
            return _issued(request, job_of(mesh, radio))
        except FactsError as error:
            _, _, said = str(error).partition("radio: ")
            form.add_error(form.field_of_radio, said or str(error))
    context = {
        "mesh": mesh,
        "site": mesh.site,
        "client": mesh.site.client,
        "form": form,
        "first_line": f"Which radio is to take over {mesh.code}?",
    }
    return render(request, "reports/job_sheet.html", context)


def _chosen(code: str, found: list[Candidate]) -> dict[str, str]:
    """The radio that the address names, else the best spare."""
    listed = [each.radio.code for each in found]
    if code and code not in listed:
        return {"radio": JobForm.OTHER, "other": code}
    best = next((each.radio.code for each in found if each.is_best), "")
    return {"radio": code or best}


def _in_words(candidate: Candidate) -> SafeString:
    radio, spare = candidate.radio, candidate.spare
    assert spare is not None
    place = radio.place.name if radio.place else "place not known"
    return format_html(
        '<code class="id">{}</code> {} <span class="beside">{}, {}; {}</span>',
        radio.code,
        radio.model,
        "best spare" if candidate.is_best else "spare",
        place,
        spare.verdict,
    )


@require_POST
def drill_record(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """The record of one drill of this mesh."""
    mesh = mesh_to_change(request.user, code, timezone.localdate())
    return _issued(
        request, drill_of(get_object_or_404(mesh.drills.select_related("mesh__site__client"), pk=pk))
    )


@require_POST
def erasure_certificate(request: HttpRequest, uid: UUID) -> HttpResponse:
    """The certificate of an erased client; owner and office only."""
    client = access.client_to_decide(request.user, uid, timezone.localdate())
    erasure = get_object_or_404(Erasure.objects.select_related("client"), client=client)
    try:
        sheet = issuing.issue(erasure_of(erasure), str(request.user), timezone.now())
    except FactsError as error:
        messages.error(request, f"Nothing was issued. {error}")
    else:
        messages.success(request, f"{sheet.get_kind_display()} {sheet.number} is issued.")
    return redirect("client-erase", uid)


def _issued(request: HttpRequest, subject: Subject) -> HttpResponse:
    """Issue it and show the papers of the home. Raises FactsError."""
    sheet = issuing.issue(subject, str(request.user), timezone.now())
    messages.success(request, f"{sheet.get_kind_display()} {sheet.number} is issued.")
    assert subject.site is not None
    return redirect("sheets", subject.site.code)
