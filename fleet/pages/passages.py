"""One passage of a build through its rings: the picture, the radios, and what is done to it."""

from collections.abc import Callable
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.models import Passage, PassageState, PassageUnit, Regression
from fleet.pages import first_lines_firmware as first_lines
from fleet.pages.firmware import require_whole_book
from fleet.pages.firmware_forms import DrawForm, RegressionForm, WordForm
from fleet.planning.ring_chart import SIDE, circles
from fleet.planning.rings import RingState
from fleet.queries.passages import Card, card_of, whole
from fleet.verbs import passages as verbs
from sites import access

SHOWN_OF_A_RING = 100
DECIDED = ("resume", "pass", "draw", "give-up")
TOLD = {
    "stop": "Stopped: nothing is updated until somebody resumes it.",
    "resume": "Resumed: soak days count anew.",
    "pass": "Written down: the ring has passed.",
    "draw": "Drawn into the open ring.",
    "give-up": "Given up; what was updated stays as it is.",
    "worse": "Noted. The passage is stopped.",
}


@require_safe
def passage(request: HttpRequest, uid: UUID) -> HttpResponse:
    require_whole_book(request)
    return _page(request, get_object_or_404(whole(Passage.objects.all()), uid=uid), {})


@require_POST
def act(request: HttpRequest, uid: UUID, what: str) -> HttpResponse:
    """stop, resume, pass, draw, give-up; worse: a regression."""
    row = _to_change(request, uid)
    if what not in TOLD:
        raise Http404("There is no such act.")
    if what in DECIDED:
        access.require_decide(request.user, timezone.localdate())
    form = _form(what, row, request)
    if form.is_valid():
        try:
            _acts(what, row, form)(str(request.user))
        except verbs.PassageRefused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, TOLD[what])
            return redirect("passage", row.uid)
    fresh = whole(Passage.objects.filter(pk=row.pk)).get()
    return _page(request, fresh, {what: form}, status=422)


@require_POST
def updated(request: HttpRequest, uid: UUID, pk: int) -> HttpResponse:
    """Somebody put the new build on the radio of an open ring."""
    row = _to_change(request, uid)
    unit = get_object_or_404(PassageUnit, pk=pk, ring__passage=row)
    try:
        verbs.note_update(unit, str(request.user), timezone.now())
    except verbs.PassageRefused as error:
        fresh = whole(Passage.objects.filter(pk=row.pk)).get()
        return _page(request, fresh, {}, status=422, refused=str(error))
    messages.success(request, "Written down. Take a copy now, and compare it with the one before.")
    return redirect("passage", row.uid)


def _form(what: str, row: Passage, request: HttpRequest) -> forms.Form:
    if what == "draw":
        return DrawForm(request.POST, auto_id="draw_%s")
    if what == "worse":
        return _regression_form(card_of(row, timezone.now()), request.POST)
    return WordForm(request.POST, needed=what != "pass", auto_id=f"{what}_%s")


def _acts(what: str, row: Passage, form: forms.Form) -> Callable[[str], object]:
    told, now = form.cleaned_data, timezone.now()
    if what == "worse":
        unit = PassageUnit.objects.get(pk=told["unit"], ring__passage=row)
        return lambda by: verbs.note_regression(unit, Regression(told["kind"]), told["what"], by, now)
    if what == "draw":
        return lambda by: verbs.draw_more(row, told["homes"], by, now)
    verb = {
        "stop": verbs.stop,
        "resume": verbs.resume,
        "pass": verbs.pass_ring,
        "give-up": verbs.give_up,
    }[what]
    return lambda by: verb(row, told["because"], by, now)


def _regression_form(card: Card, data: object = None) -> RegressionForm:
    form = RegressionForm(data, auto_id="worse_%s")
    form.fields["unit"].choices = [
        (unit.row.pk, f"{unit.row.radio.code} {unit.mesh.code if unit.mesh else ''}".strip())
        for ring in card.rings
        for unit in ring.units
        if unit.row.done_at is not None and not unit.row.regression
    ]
    return form


def _page(
    request: HttpRequest, row: Passage, tried: dict[str, forms.Form], status: int = 200, refused: str = ""
) -> HttpResponse:
    now, today = timezone.now(), timezone.localdate()
    card = card_of(row, now)
    current = card.stand.current
    under_way = row.state == PassageState.UNDER_WAY
    context = {
        "card": card,
        "passage": row,
        "refused": refused,
        "current": current,
        "circles": circles(card.stand.rings),
        "half": SIDE // 2,
        "side": SIDE,
        "most": SHOWN_OF_A_RING,
        "may_change": access.may_change(request.user, today) and row.is_open,
        "may_decide": access.may_decide(request.user, today) and row.is_open,
        "under_way": under_way,
        "may_pass": under_way and current is not None and current.may_pass,
        "must_say": current is not None and current.state is RingState.UNPROVEN,
        "too_few": current is not None and current.state is RingState.TOO_FEW,
        "stop_form": tried.get("stop") or WordForm(auto_id="stop_%s"),
        "resume_form": tried.get("resume")
        or WordForm(label="Why the build was not to blame", auto_id="resume_%s"),
        "pass_form": tried.get("pass") or WordForm(label="Why it may go on unproven", auto_id="pass_%s"),
        "draw_form": tried.get("draw") or DrawForm(auto_id="draw_%s"),
        "give_up_form": tried.get("give-up") or WordForm(auto_id="give-up_%s"),
        "worse_form": tried.get("worse") or _regression_form(card),
        "first_line": first_lines.of_passage(card),
    }
    return render(request, "fleet/passage.html", context, status=status)


def _to_change(request: HttpRequest, uid: UUID) -> Passage:
    require_whole_book(request)
    access.require_change(request.user, timezone.localdate())
    return get_object_or_404(whole(Passage.objects.all()), uid=uid)
