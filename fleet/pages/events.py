"""Which other systems are told of events, and what came of it."""

from django.contrib import messages as notes
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from fleet.forms import ReceiverForm
from fleet.models import Delivery, Receiver
from fleet.pages import first_lines_told as first_lines
from fleet.pages.messages import require_office
from fleet.planning.events import shown_secret
from fleet.queries.receivers import receivers_shown
from fleet.verbs import receivers as verbs

DELIVERIES_A_PAGE = 50
ACTS = {
    "pause": (verbs.pause, "“{}” is told nothing until you resume."),
    "resume": (verbs.resume, "“{}” is told again, within a minute."),
    "end": (verbs.end, "“{}” is told nothing more."),
}


@require_safe
def events(request: HttpRequest) -> HttpResponse:
    require_office(request)
    receivers = list(receivers_shown(timezone.now()))
    deliveries = Delivery.objects.select_related("event", "receiver")
    context = {
        "receivers": receivers,
        "page": Paginator(deliveries, DELIVERIES_A_PAGE).get_page(request.GET.get("page")),
        "first_line": first_lines.of_events(receivers),
    }
    return render(request, "fleet/events.html", context)


@never_cache
def new_receiver(request: HttpRequest) -> HttpResponse:
    """The answer to the form is the only page that ever shows the secret, so it is not a redirect."""
    require_office(request)
    form = ReceiverForm(request.POST or None)
    if not form.is_valid():
        line = "Which system shall be told of events?"
        return render(request, "fleet/receiver_new.html", {"form": form, "first_line": line})
    told = form.cleaned_data
    receiver, secret = verbs.add(
        told["label"], told["address"], form.kinds(), str(request.user), timezone.now()
    )
    context = {
        "receiver": receiver,
        "text": shown_secret(secret),
        "first_line": "Copy this secret now: it is shown once.",
    }
    return render(request, "fleet/receiver_secret.html", context)


@require_POST
def act_on_receiver(request: HttpRequest, pk: int, act: str) -> HttpResponse:
    require_office(request)
    if act not in ACTS:
        raise Http404("There is no such act.")
    receiver = get_object_or_404(Receiver, pk=pk, ended_at=None)
    verb, said = ACTS[act]
    verb(receiver, str(request.user), timezone.now())
    notes.success(request, said.format(receiver.label))
    return redirect("events")


@require_POST
def deliver_again(request: HttpRequest, pk: int) -> HttpResponse:
    require_office(request)
    delivery = get_object_or_404(Delivery, pk=pk, receiver__ended_at=None)
    verbs.revive(delivery, str(request.user), timezone.now())
    notes.success(request, "It is tried again within a minute.")
    return redirect("events")
