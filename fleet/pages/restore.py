"""Giving a copy out, ready to restore: the question, and the document as the answer."""

from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import format_html, format_html_join
from django.utils.http import content_disposition_header
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from fleet.mesh.counters import HALF_WAY
from fleet.models import Mesh, Radio, Snapshot
from fleet.pages.copy_choices import by_month
from fleet.pages.restore_form import RestoreForm
from fleet.pages.writing import counted
from fleet.planning.compatibility import Verdict
from fleet.queries.incidents import stranded_since
from fleet.queries.mesh import mesh_to_change
from fleet.queries.pairs import offered
from fleet.queries.restore_page import Candidate, RestorePage, page_of
from fleet.queries.restoring import GrantRefused
from fleet.verbs.grant import Grant, Request, restore_document
from fleet.verbs.two_people import Who

VERDICTS = {
    Verdict.CLEAN: "takes over as it is",
    Verdict.CONVERTS: "takes over once converted",
    Verdict.UNTESTED: "never tried",
}


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@sensitive_post_parameters("second_password")
def restore(request: HttpRequest, code: str) -> HttpResponse:
    mesh = mesh_to_change(request.user, code, timezone.localdate())
    now = timezone.now()
    asked_for = _copy_asked_for(request, mesh)
    shown = page_of(mesh, asked_for, now)
    form = None if shown.refusal else _form(request, shown)
    if form is not None and form.is_valid():
        try:
            wish = _wish(request, form)
            return _document(request, restore_document(mesh, wish, now, shown.copy), wish.radio)
        except GrantRefused as refusal:
            form.add_error(None, str(refusal))
    zone = ZoneInfo(mesh.site.time_zone)
    context = {
        "mesh": mesh,
        "site": mesh.site,
        "client": mesh.site.client,
        "now": now,
        "shown": shown,
        "form": form,
        "stranded_since": stranded_since(mesh),
        "months": list(by_month(offered(mesh), zone)),
        "first_line": _first_line(code, shown),
    }
    return render(request, "fleet/restore.html", context)


def _first_line(code: str, shown: RestorePage) -> str:
    """Whether a copy can be given out at this moment, by how many people, and from which number."""
    if shown.refusal or shown.start is None:
        return f"No copy of {code} can be given out today."
    people = "by two people only" if shown.doubts else "today"
    late = (
        ", past half of all counters: change the network key first" if shown.start.value >= HALF_WAY else ""
    )
    return f"A copy of {code} can be given out {people}; the radio starts from {counted(shown.start.value)}{late}."


def _copy_asked_for(request: HttpRequest, mesh: Mesh) -> Snapshot | None:
    """The copy that the address or the form names; None where neither does. Http404 for no copy of this mesh."""
    uid = request.POST.get("copy") or request.GET.get("copy")
    if not uid:
        return None
    try:
        copy = mesh.snapshots.filter(uid=UUID(uid)).first()
    except ValueError:
        copy = None
    if copy is None:
        raise Http404("There is no such copy.")
    return copy


def _form(request: HttpRequest, shown: RestorePage) -> RestoreForm:
    best = next((each.radio.code for each in shown.candidates if each.is_best), None)
    return RestoreForm(
        request.POST or None,
        radios=[(each.radio.code, _in_words(each)) for each in shown.candidates],
        first=request.user,
        today=timezone.localdate(),
        needed=bool(shown.doubts),
        initial={"radio": best},
    )


def _in_words(candidate: Candidate) -> SafeString:
    """A radio with what its taker must know of it."""
    radio, spare = candidate.radio, candidate.spare
    if spare is None:
        told = ["in service: to put the same one back"]
    else:
        other = {Verdict.PARTLY: f"{spare.rejoin_count} devices to join by hand", Verdict.NO: "does not fit"}
        place = "in the home" if spare.at_home else radio.place.name if radio.place else "place not known"
        blank = (
            f"proven blank {date_format(radio.blank_proven_at, 'j M Y')}"
            if spare.blank_proven
            else "not proven blank"
        )
        told = [place, (VERDICTS | other)[spare.verdict], blank]
    best = mark_safe("<strong>best spare</strong> ") if candidate.is_best else ""
    words = format_html_join(", ", "{}", ((part,) for part in told))
    against = ", and ".join(candidate.warnings)
    warning = (
        format_html('<strong class="caution">Do not take it as it is: {}.</strong> ', against)
        if against
        else ""
    )
    return format_html(
        '{}<code class="id">{}</code> {} {}<span class="beside">{}</span>',
        warning,
        radio.code,
        radio.model,
        best,
        words,
    )


def _wish(request: HttpRequest, form: RestoreForm) -> Request:
    told = form.cleaned_data
    second = told.get("second")
    by = Who.of(request.user)
    return Request(told["radio"], by, told["reason"], Who.of(second) if second else "")


def _document(request: HttpRequest, grant: Grant, radio: Radio) -> HttpResponse:
    """The octets as a file whose name says the number; the next page that is opened says what was given out."""
    code, start = grant.snapshot.mesh.code, grant.start.value
    messages.success(request, f"Given out: {counted(start)} for {radio.code}. Write only the highest number.")
    return HttpResponse(
        grant.document,
        content_type="application/json",
        headers={"Content-Disposition": content_disposition_header(True, f"{code}-{start}.json")},
    )
