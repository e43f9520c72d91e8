"""A storm tried out: the question, the answer as it is played, and the exercises that are kept."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from fleet import tasks
from fleet.models import StormExercise
from fleet.pages.messages import require_office
from fleet.pages.storm_form import StormForm, filled_with
from fleet.planning.pace import pace
from fleet.planning.storm import asking
from fleet.planning.storm.answer import StormAnswer, answer_from
from fleet.planning.storm.case import StormError
from fleet.planning.storm.chart import chart_of
from fleet.planning.storm.words import headline, helping, span, want_of
from fleet.queries.clock import book_time
from fleet.verbs import storm as verbs

# So many homes times runs are played while somebody waits, in about a second; a job plays a larger storm.
AT_ONCE = 4_000
RENEW_SECONDS = 5
HELPS_TOLD = 6


@require_http_methods(["GET", "HEAD", "POST"])
def storm(request: HttpRequest) -> HttpResponse:
    require_office(request)
    form = StormForm(request.POST) if request.method == "POST" else StormForm(initial=_asked_before(request))
    if form.is_bound and form.is_valid():
        try:
            return _ask(request, form.cleaned_data["asked"])
        except StormError as error:
            form.add_error(error.field, str(error))
    context = {
        "form": form,
        "exercises": StormExercise.objects.defer("case", "answer"),
        "first_line": "If a storm struck now, who would be back when?",
    }
    return render(request, "fleet/storm.html", context, status=422 if form.errors else 200)


@require_safe
def answer(request: HttpRequest, pk: int) -> HttpResponse:
    require_office(request)
    row = get_object_or_404(StormExercise, pk=pk)
    found = answer_from(row.answer) if row.answer else None
    still = "still" in request.GET
    context = {
        "row": row,
        "answer": found,
        "chart": chart_of(found) if found else None,
        "homes": _homes(found) if found else [],
        "helps": helping(found, HELPS_TOLD) if found else [],
        "left_out": row.case["left_out"],
        "people": [goer["name"] for goer in row.case["goers"]],
        "spares": _fitting(row.case),
        "pace": pace(row.done, row.total, row.asked_at, row.finished_at or book_time().now),
        "still": still,
        "renew_seconds": RENEW_SECONDS,
        "first_line": headline(found) if found else _so_far(row),
    }
    response = render(request, "fleet/storm_answer.html", context)
    if found is None and not still:
        response.headers["Refresh"] = str(RENEW_SECONDS)
    return response


def _fitting(case: dict[str, Any]) -> list[str]:
    """The spares that could take over one of these meshes; others are no help, whatever lies about."""
    fit = {each["spare"] for mesh in case["meshes"] for each in mesh["fits"]}
    return [spare["code"] for spare in case["spares"] if spare["code"] in fit]


def _so_far(row: StormExercise) -> str:
    return f"Being played: {row.done:,} of {row.total:,} runs."


def _homes(found: StormAnswer) -> list[dict[str, object]]:
    return [
        {
            "home": home,
            "half": span(home.p50) if home.p50 is not None else "not back",
            "most": span(home.p90) if home.p90 is not None else "not back",
            "wants": want_of(home),
        }
        for home in found.homes
    ]


def _asked_before(request: HttpRequest) -> dict[str, object] | None:
    again = request.GET.get("again", "")
    row = (
        StormExercise.objects.filter(pk=int(again)).first() if again.isdecimal() and len(again) < 19 else None
    )
    return filled_with(asking.from_data(row.asked)) if row else None


def _ask(request: HttpRequest, asked: asking.Asked) -> HttpResponse:
    time = book_time()
    row = verbs.ask(asked, str(request.user), time.now)
    if row.total * len(row.case["meshes"]) <= AT_ONCE:
        verbs.play(row.pk, time.clock)
    elif not tasks.hand_out_storm(row.pk):
        messages.warning(request, "The queue does not answer. The exercise is written down and waits for it.")
    return redirect("storm-answer", row.pk)
