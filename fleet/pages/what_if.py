"""Supposing a change before it is made: the question, the answer as it grows, and the answers that were given."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from fleet import tasks
from fleet.models import Supposal
from fleet.pages import first_lines_supposing as first_lines
from fleet.pages.messages import require_office
from fleet.pages.what_if_form import PLACES, WhatIfForm, filled_with, places_offered
from fleet.planning.supposing import from_data
from fleet.planning.supposing_words import at_most, staying
from fleet.queries.clock import book_time
from fleet.queries.supposals import Answer, answer_of, answers, changes_of
from fleet.verbs import suppose

# So many meshes are judged while somebody waits, in a second or two; a job works through a larger book.
AT_ONCE = 300
ROWS_A_PAGE = 50
# The page of an answer that is still growing asks for itself again so often, unless the reader holds it still.
RENEW_SECONDS = 5

Door = tuple[str, str]


@require_http_methods(["GET", "HEAD", "POST"])
def what_if(request: HttpRequest) -> HttpResponse:
    require_office(request)
    form = (
        WhatIfForm(request.POST) if request.method == "POST" else WhatIfForm(initial=_asked_before(request))
    )
    if form.is_bound and form.is_valid():
        return _ask(request, form)
    context = {
        "form": form,
        "lying_places": places_offered(),
        "places_id": PLACES,
        "answers": answers(),
        "first_line": first_lines.of_question(),
    }
    return render(request, "fleet/what_if.html", context)


@require_safe
def answer(request: HttpRequest, pk: int) -> HttpResponse:
    require_office(request)
    now = book_time().now
    found = answer_of(get_object_or_404(Supposal, pk=pk), now)
    page = Paginator(changes_of(found.row), ROWS_A_PAGE).get_page(request.GET.get("page"))
    at_work, still = found.row.finished_at is None, "still" in request.GET
    context = {
        "answer": found,
        "page": page,
        "rows": [(change, first_lines.hours_of(change)) for change in page],
        "staying": staying(found.tally),
        "rates": [(rate, at_most(rate.of_hundred)) for rate in found.tally.rates_used],
        "doors": _doors(request, found),
        "at_work": at_work,
        "still": still,
        "renew_seconds": RENEW_SECONDS,
        "first_line": first_lines.of_answer(found),
    }
    response = render(request, "fleet/what_if_answer.html", context)
    if at_work and not still:
        response.headers["Refresh"] = str(RENEW_SECONDS)
    return response


def _asked_before(request: HttpRequest) -> dict[str, object] | None:
    """An answer's own question, to be asked once more."""
    again = request.GET.get("again", "")
    row = Supposal.objects.filter(pk=int(again)).first() if again.isdecimal() and len(again) < 19 else None
    return filled_with(from_data(row.asked)) if row else None


def _ask(request: HttpRequest, form: WhatIfForm) -> HttpResponse:
    time = book_time()
    row = suppose.ask(form.cleaned_data["change"], str(request.user), time.now)
    if row.total <= AT_ONCE:
        suppose.go_on(row.pk, time.clock)
    elif not tasks.hand_out_supposal(row.pk):
        messages.warning(request, "The queue does not answer. The question is written down and waits for it.")
    return redirect("what-if-answer", row.pk)


def _doors(request: HttpRequest, found: Answer) -> list[Door]:
    """Where each part of the change would really be made; the back door only for those whom it lets in."""
    change, person = found.change, request.user
    doors: list[Door] = [(reverse("shelf"), "Shelves and vans")] if change.added or change.taken else []
    if (change.added or change.taken) and person.is_staff and person.has_perm("fleet.change_radio"):
        doors.append((reverse("admin:fleet_radio_changelist"), "Enter or take out spares"))
    if change.policies:
        doors.append((reverse("firmware"), "Change a firmware policy"))
    if change.drill_days is not None or change.point_hours is not None:
        doors.append((reverse("clients"), "Change agreements, home by home"))
    if change.point_hours is not None:
        doors.append((reverse("keep-rules"), "Change keep rules"))
    return doors
