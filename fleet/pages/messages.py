"""What the book tells people: the outbox, and who is told what."""

from django.contrib import messages as notes
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.forms import WishesForm
from fleet.models import Message
from fleet.pages import first_lines_told as first_lines
from fleet.queries.outbox import listeners, outbox
from fleet.queries.readers import wishes_of
from fleet.verbs import send
from fleet.verbs import wishes as wishes_verb
from sites import access
from sites.models import Person

MESSAGES_A_PAGE = 25


def require_office(request: HttpRequest) -> None:
    """Http404 unless this person decides for the firm: others need not know who is told what."""
    if not access.may_decide(request.user, timezone.localdate()):
        raise Http404("There is nothing here.")


@require_safe
def messages(request: HttpRequest) -> HttpResponse:
    require_office(request)
    found = outbox(timezone.now())
    context = {
        "page": Paginator(Message.objects.all(), MESSAGES_A_PAGE).get_page(request.GET.get("page")),
        "listeners": listeners(timezone.localdate()),
        "first_line": first_lines.of_messages(found),
    }
    return render(request, "fleet/messages.html", context)


@require_safe
def message(request: HttpRequest, pk: int) -> HttpResponse:
    require_office(request)
    row = get_object_or_404(Message, pk=pk)
    return render(request, "fleet/message.html", {"message": row, "first_line": row.subject})


@require_POST
def send_again(request: HttpRequest, pk: int) -> HttpResponse:
    require_office(request)
    send.try_again(get_object_or_404(Message, pk=pk), str(request.user), timezone.now())
    notes.success(request, "It goes out within five minutes.")
    return redirect("messages")


def wishes(request: HttpRequest, pk: int) -> HttpResponse:
    person = _listener(request, pk)
    form = WishesForm(request.POST or None, instance=wishes_of(person))
    mine = person.pk == request.user.pk
    back = reverse("messages") if access.may_decide(request.user, timezone.localdate()) else reverse("board")
    if form.is_valid():
        wishes_verb.put_down(form.save(commit=False), str(request.user), timezone.now())
        notes.success(request, "Written down.")
        return redirect(back)
    context = {
        "form": form,
        "first_line": first_lines.of_wishes(person, mine),
        "back": {"address": back, "name": "Messages" if back == reverse("messages") else "Board"},
    }
    return render(request, "sites/form.html", context)


def _listener(request: HttpRequest, pk: int) -> Person:
    """Oneself, or for those who decide anybody; else Http404."""
    today = timezone.localdate()
    if pk != request.user.pk and not access.may_decide(request.user, today):
        raise Http404("There is nothing here.")
    person = get_object_or_404(Person, pk=pk, is_active=True)
    if access.has_ended(person, today):
        raise Http404("There is nothing here.")
    return person
