"""Erasing a client: the question, the act, and what remains afterwards, all at one address."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from fleet.forms import EraseForm
from fleet.models import Erasure
from fleet.pages import gone
from fleet.queries import erasure
from fleet.verbs.erase import EraseRefused, erase_client
from fleet.verbs.two_people import Who
from sites import access
from sites.models import Client


@never_cache
@sensitive_post_parameters("second_password")
def erase(request: HttpRequest, uid: UUID) -> HttpResponse:
    today = timezone.localdate()
    client = access.client_to_decide(request.user, uid, today)
    row = Erasure.objects.filter(client=client).first()
    if row is not None:
        return _record(request, client, row)
    form = EraseForm(request.POST or None, client=client, first=request.user, today=today)
    if form.is_valid():
        second = Who.of(form.cleaned_data["second"])
        try:
            erase_client(client, form.cleaned_data["reason"], Who.of(request.user), second, timezone.now())
        except EraseRefused as error:
            messages.error(request, f"Nothing was erased. {error}")
        return redirect("client-erase", uid)
    held = erasure.holds_on(client)
    context = {
        "client": client,
        "form": form,
        "held": held,
        "ahead": erasure.ahead(client),
        "unfinished": erasure.unfinished(client, today),
        "first_line": gone.before_erasing(client, bool(held)),
    }
    return render(request, "fleet/erase.html", context)


def _record(request: HttpRequest, client: Client, row: Erasure) -> HttpResponse:
    context = {
        "client": client,
        "row": row,
        "method": erasure.METHOD,
        "went": erasure.went(row),
        "remains": erasure.remains(row),
        "certificates": erasure.certificates_of(client),
        "first_line": gone.of_erased(client),
    }
    return render(request, "fleet/erased.html", context)
