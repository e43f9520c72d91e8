"""How long ways take: the minutes that the firm uploaded, a look at a file before it counts, and an end to it."""

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.defaultfilters import filesizeformat
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from fleet.models import TravelMatrix
from fleet.planning.visits.reading_matrix import COLUMNS, HOURS, MOST_TOLD, MatrixError
from fleet.queries.travel import MatrixLook, look_at, look_at_row, matrix_in_force
from fleet.verbs import travel as verbs
from sites import access

MOST_BYTES = 4 * 1024 * 1024
MISSING_SHOWN = 20


class FileForm(forms.Form):
    """A file to look at; nothing is written by it."""

    ways = forms.FileField(
        label="File of minutes",
        help_text=f"CSV in UTF-8. First line: {','.join(COLUMNS)} or {','.join((*COLUMNS, HOURS))}.",
        allow_empty_file=True,
    )

    def clean_ways(self) -> UploadedFile:
        ways = self.cleaned_data["ways"]
        if ways.size > MOST_BYTES:
            raise ValidationError(
                f"The file has {filesizeformat(ways.size)}; right is at most {filesizeformat(MOST_BYTES)}."
            )
        return ways


@require_http_methods(["GET", "HEAD", "POST"])
def travel(request: HttpRequest) -> HttpResponse:
    """GET: what counts now. POST: what a file would do; it goes on to the page's own button."""
    _require_office(request)
    if request.method != "POST":
        return _page(request, FileForm())
    form = FileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, form, status=422)
    octets = form.cleaned_data["ways"].read()
    try:
        look = look_at(octets)
    except MatrixError as error:
        return _page(request, form, faults=error, status=422)
    return _page(request, FileForm(), look=look, text=octets.decode("utf-8-sig"))


@require_POST
def use(request: HttpRequest) -> HttpResponse:
    """Put what was looked at in force: the same text comes back with the form."""
    _require_office(request)
    octets = request.POST.get("text", "").encode()
    try:
        row = verbs.use(octets, _seen(request), str(request.user), timezone.now())
    except MatrixError as error:
        return _page(request, FileForm(), faults=error, status=422)
    except verbs.TravelRefused as error:
        messages.error(request, str(error))
        return redirect("travel")
    messages.success(request, f"Plans drive by these {row.ways} ways from now on.")
    return redirect("travel")


@require_POST
def end(request: HttpRequest) -> HttpResponse:
    """Back to great circles."""
    _require_office(request)
    seen = _seen(request)
    try:
        if seen is not None:
            verbs.end(seen, str(request.user), timezone.now())
            messages.success(request, "Plans drive by great circles again.")
    except verbs.TravelRefused as error:
        messages.error(request, str(error))
    return redirect("travel")


def _page(
    request: HttpRequest,
    form: FileForm,
    look: MatrixLook | None = None,
    text: str = "",
    faults: MatrixError | None = None,
    status: int = 200,
) -> HttpResponse:
    held = matrix_in_force()
    shown = look or (look_at_row(held) if held else None)
    context = {
        "form": form,
        "held": held,
        "shown": shown,
        "is_look": look is not None,
        "text": text,
        "faults": faults.faults[:MOST_TOLD] if faults else [],
        "more_faults": max(0, len(faults.faults) - MOST_TOLD) if faults else 0,
        "missing": shown.missing[:MISSING_SHOWN] if shown else [],
        "first_line": _first_line(held, look, faults),
    }
    return render(request, "fleet/travel.html", context, status=status)


def _first_line(held: TravelMatrix | None, look: MatrixLook | None, faults: MatrixError | None) -> str:
    if faults:
        many = len(faults.faults)
        return f"Nothing was written: the file has {'one fault' if many == 1 else f'{many} faults'}."
    if look:
        return f"This file has minutes for {_ways(look.ways)}. Nothing is written yet."
    if held:
        return f"Plans drive by the firm's own minutes for {_ways(held.ways)}."
    return "Plans drive by great circles: no minutes of the firm's own are written down."


def _ways(count: int) -> str:
    return "one way" if count == 1 else f"{count} ways"


def _seen(request: HttpRequest) -> TravelMatrix | None:
    """The matrix that was in force when the page was made; a wrong number is one that is in force no more."""
    number = request.POST.get("seen", "")
    is_number = number.isascii() and number.isdecimal() and len(number) < 19
    return TravelMatrix(pk=int(number)) if is_number else None


def _require_office(request: HttpRequest) -> None:
    if not access.may_decide(request.user, timezone.localdate()):
        raise Http404("There is nothing here.")
