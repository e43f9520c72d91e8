"""The card of one replacement: what stands against it, the next step, and the devices afterwards."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fleet.keyring import KeyRingError
from fleet.models import Replacement, Silencing
from fleet.pages import first_lines_replacing
from fleet.pages.replacing_forms import MoveForm, PlanForm
from fleet.pages.writing import counted
from fleet.planning.replacing.states import NEW_SPEAKS, WATCHED, State
from fleet.queries.replacing.card import Card, card_of, replacement_for, replacement_to_change
from fleet.queries.replacing.numbers import number_for_old
from fleet.queries.replacing.photos import open_photo
from fleet.queries.restoring import GrantRefused
from fleet.snapshots.sealing import SealError
from fleet.verbs.replacing.asking import plan as write_plan
from fleet.verbs.replacing.marking import Tick, mark
from fleet.verbs.replacing.moving import MoveRefused, Step, move
from fleet.verbs.replacing.photos import PhotoRefused
from fleet.verbs.replacing.writing import MAY_BE_WRITTEN, give_out
from fleet.verbs.two_people import Who
from sites import access

NEEDS_A_NOTE = (State.DROPPED, State.BACKING_OUT, State.BACKED_OUT, State.STRANDED)
ACTS = {
    State.AGREED: "It is agreed",
    State.PACKED: "All is packed",
    State.ARRIVED: "We are there",
    State.SILENCED: "The old radio is silent",
    State.WAKING: "The new radio is on air",
    State.ACCEPTED: "Accept it",
    State.CLOSED: "Close it",
    State.BACKING_OUT: "Back out",
    State.BACKED_OUT: "The old radio is on air again",
    State.STRANDED: "Neither radio speaks to the mesh",
    State.DROPPED: "Drop it",
}
JOINED_ANEW = "Its devices are being joined anew"
Forms = dict[State, MoveForm]


@require_safe
@never_cache
def card(request: HttpRequest, uid: UUID) -> HttpResponse:
    return _page(request, replacement_for(request.user, uid, timezone.localdate()), {})


@require_POST
@never_cache
@sensitive_post_parameters("second_password")
def step(request: HttpRequest, uid: UUID, to: str) -> HttpResponse:
    """One move, by somebody who saw the state named in the form."""
    swap = replacement_to_change(request.user, uid, timezone.localdate())
    wanted, seen = _state(to), _state(request.POST.get("seen", ""))
    form = _form(request, swap, wanted, bound=True)
    if form.is_valid():
        told = form.cleaned_data
        try:
            move(swap, _step(request, wanted, seen, told), timezone.now())
        except (MoveRefused, PhotoRefused, SealError, KeyRingError) as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"Noted: {wanted.words}.")
            return redirect("replacement", swap.uid)
    swap.refresh_from_db()
    return _page(request, swap, {wanted: form}, status=422)


@require_POST
@never_cache
@sensitive_post_parameters("second_password")
def write(request: HttpRequest, uid: UUID) -> HttpResponse:
    """The document for the new radio, with a number of its own, as a download."""
    swap = replacement_to_change(request.user, uid, timezone.localdate())
    form = _second_person(request, request.POST)
    if form.is_valid():
        second = form.cleaned_data["second"]
        try:
            by = Who.of(request.user)
            grant = give_out(swap, by, timezone.now(), Who.of(second) if second else "")
        except (MoveRefused, GrantRefused) as error:
            form.add_error(None, str(error))
        else:
            start, code = grant.start.value, swap.mesh.code
            messages.success(request, f"Given out: {counted(start)}. Write only the highest number.")
            name = content_disposition_header(True, f"{code}-{start}.json")
            return HttpResponse(
                grant.document, content_type="application/json", headers={"Content-Disposition": name}
            )
    swap.refresh_from_db()
    return _page(request, swap, {State.WRITTEN: form}, status=422)


@require_http_methods(["GET", "HEAD", "POST"])
def plan(request: HttpRequest, uid: UUID) -> HttpResponse:
    swap = replacement_to_change(request.user, uid, timezone.localdate())
    form = PlanForm(request.POST if request.method == "POST" else None, instance=swap)
    if request.method == "POST" and form.is_valid():
        try:
            write_plan(
                Replacement.objects.get(pk=swap.pk), form.cleaned_data, str(request.user), timezone.now()
            )
        except MoveRefused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Written down.")
            return redirect("replacement", swap.uid)
    context = {
        **_home(swap),
        "form": form,
        "first_line": f"What was agreed about the replacement in {swap.mesh.code}?",
    }
    return render(request, "fleet/replacement_plan.html", context, status=422 if form.errors else 200)


@require_POST
def tick(request: HttpRequest, uid: UUID, pk: int) -> HttpResponse:
    """One device heard, tried by hand, or silent for a reason."""
    swap = replacement_to_change(request.user, uid, timezone.localdate())
    node = get_object_or_404(swap.mesh.nodes, pk=pk)
    told = Tick(
        heard="heard" in request.POST,
        tried_by_hand="tried" in request.POST,
        explained=request.POST.get("explained", ""),
        take_back="take_back" in request.POST,
    )
    try:
        mark(swap, node, told, str(request.user), timezone.now())
    except MoveRefused as error:
        messages.error(request, str(error))
    # To the head of the list: what is still to be done comes first there.
    return redirect(f"{_address(swap)}#devices")


@require_safe
@never_cache
def photo(request: HttpRequest, uid: UUID, pk: int) -> HttpResponse:
    """The photo of a silenced radio, for those who may change the home."""
    swap = replacement_to_change(request.user, uid, timezone.localdate())
    proof = get_object_or_404(swap.silences.select_related("photo__data_key", "radio"), pk=pk)
    if not hasattr(proof, "photo"):
        raise Http404("There is no photo.")
    try:
        return HttpResponse(open_photo(proof.photo), content_type="image/jpeg")
    except (SealError, KeyRingError):
        raise Http404("The photo does not open.") from None


def _page(request: HttpRequest, swap: Replacement, tried: Forms, status: int = 200) -> HttpResponse:
    now, today = timezone.now(), timezone.localdate()
    shown = card_of(swap, now)
    may_change = access.may_change(request.user, today) and swap.mesh.site.client.erased_at is None
    acts = {**ACTS, State.WAKING: JOINED_ANEW} if swap.stands is State.STRANDED else ACTS
    moves = [
        {"to": to, "act": acts[to], "form": tried.get(to) or _form(request, swap, to)}
        for to in shown.next_moves
    ]
    context = {
        **_home(swap),
        "shown": shown,
        "now": now,
        "forward": moves[: 0 if swap.stands is State.SILENCED else 1],
        "aside": moves[0 if swap.stands is State.SILENCED else 1 :],
        "may_change": may_change,
        "sees_visits": access.sees_whole_book(request.user, today),
        "refused": _refused(tried),
        "writing": tried.get(State.WRITTEN) or _write_form(request, shown),
        "may_write": swap.stands in MAY_BE_WRITTEN,
        "may_tick": may_change and swap.stands in WATCHED,
        "first_line": first_lines_replacing.of_card(shown, now),
    }
    return render(request, "fleet/replacement.html", context, status=status)


def _refused(tried: Forms) -> list[str]:
    """What was said against a move, for the head of the page: its form stands far below, or is gone."""
    return [error for form in tried.values() for errors in form.errors.values() for error in errors]


def _home(swap: Replacement) -> dict[str, Any]:
    mesh = swap.mesh
    return {"swap": swap, "mesh": mesh, "site": mesh.site, "client": mesh.site.client}


def _form(request: HttpRequest, swap: Replacement, to: State, bound: bool = False) -> MoveForm:
    silences_old = to is State.SILENCED and swap.old_radio is not None
    silences_new = to is State.BACKING_OUT and swap.stands in (*NEW_SPEAKS, State.WRITTEN)
    return MoveForm(
        *((request.POST, request.FILES) if bound else ()),
        first=request.user,
        today=timezone.localdate(),
        to=to,
        proves=silences_old or silences_new,
        notes=to in NEEDS_A_NOTE or (to is State.WAKING and swap.stands is State.STRANDED),
        radio=swap.old_radio if silences_old else swap.new_radio,
        agrees=to in (State.ARRIVED, State.SILENCED),
        deaf=to is State.BACKED_OUT and number_for_old(swap) is None,
    )


def _write_form(request: HttpRequest, shown: Card) -> MoveForm | None:
    """A second person's name, where the copy is such that one may not take it alone."""
    if shown.swap.stands not in MAY_BE_WRITTEN or not shown.doubts:
        return None
    return _second_person(request)


def _second_person(request: HttpRequest, *typed: QueryDict) -> MoveForm:
    form = MoveForm(
        *typed,
        first=request.user,
        today=timezone.localdate(),
        to=State.WRITTEN,
        proves=False,
        notes=False,
        agrees=True,
    )
    del form.fields["note"]
    return form


def _step(request: HttpRequest, to: State, seen: State, told: dict[str, Any]) -> Step:
    second = told.get("second")
    return Step(
        to=to,
        seen=seen,
        by=Who.of(request.user),
        note=told["note"],
        silencing=Silencing(told["how"]) if told.get("how") else None,
        photo=told.get("photo"),
        second=Who.of(second) if second else "",
        without_number=told.get("without_number", False),
    )


def _state(word: str) -> State:
    try:
        return State(word)
    except ValueError:
        raise Http404("There is no such state.") from None


def _address(swap: Replacement) -> str:
    return reverse("replacement", args=[swap.uid])
