"""Replacements: the list of them, and asking for one."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from fleet.pages import first_lines_replacing
from fleet.pages.replacing_forms import AskForm
from fleet.planning.replacing.states import NOBODY_SPEAKS, State
from fleet.queries.mesh import mesh_to_change
from fleet.queries.replacing.card import replacements_for
from fleet.verbs.replacing.asking import Wish, ask
from fleet.verbs.replacing.moving import MoveRefused

ROWS_A_PAGE = 50


@require_safe
def replacements(request: HttpRequest) -> HttpResponse:
    seen = replacements_for(request.user, timezone.localdate())
    under_way = list(seen.under_way().order_by("begins_at", "asked_at"))
    under_way.sort(key=lambda swap: swap.stands not in NOBODY_SPEAKS)  # homes without a voice come first
    stranded = sum(swap.stands is State.STRANDED for swap in under_way)
    silent = sum(swap.stands in NOBODY_SPEAKS for swap in under_way) - stranded
    context = {
        "under_way": under_way,
        "page": Paginator(seen.over(), ROWS_A_PAGE).get_page(request.GET.get("page")),
        "first_line": first_lines_replacing.of_replacements(len(under_way), stranded, silent),
    }
    return render(request, "fleet/replacements.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest, code: str) -> HttpResponse:
    mesh = mesh_to_change(request.user, code, timezone.localdate())
    form = AskForm(request.POST if request.method == "POST" else None, mesh=mesh)
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        try:
            wish = Wish(told["why"], told["because"], told["new_radio"])
            swap = ask(mesh, wish, str(request.user), timezone.now())
        except MoveRefused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Written down. Now agree on the day, and who goes.")
            return redirect("replacement", swap.uid)
    context = {
        "mesh": mesh,
        "site": mesh.site,
        "client": mesh.site.client,
        "form": form,
        "first_line": f"Which radio is to take over {mesh.code}, and why?",
    }
    return render(request, "fleet/replacement_new.html", context, status=422 if form.errors else 200)
