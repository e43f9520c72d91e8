"""Which radio should be swapped next, and why: the order with every term, and one tap to ask for a replacement."""

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet import tasks
from fleet.models import RadioModel, Why
from fleet.planning.priority_words import because_of, chance_of, headline, lines_of, visit_of, why_not_asked
from fleet.queries.clock import book_time
from fleet.queries.mesh import mesh_to_change
from fleet.queries.rankings import Order, order_of, row_of, supported
from fleet.verbs import rank_swaps
from fleet.verbs.replacing.asking import Wish, ask
from fleet.verbs.replacing.moving import MoveRefused
from sites import access

# So many meshes are weighed while somebody waits, in about a second; a job works through a larger book.
AT_ONCE = 150
RENEW_SECONDS = 5


class SupportForm(forms.Form):
    """Until when a type of radio is supported, and who says so."""

    model = forms.ModelChoiceField(
        label="Type of radio", queryset=RadioModel.objects.all(), empty_label="choose one"
    )
    last_day = forms.DateField(
        label="Last day of support",
        input_formats=["%Y-%m-%d"],
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "That is no day; write one such as 2028-05-31."},
    )
    said_by = forms.CharField(
        label="Who says so", max_length=200, help_text="Such as the maker's letter of May 2026."
    )


@require_safe
def next_swaps(request: HttpRequest) -> HttpResponse:
    require_whole_book(request)
    return _page(request, SupportForm())


@require_POST
def anew(request: HttpRequest) -> HttpResponse:
    require_whole_book(request)
    access.require_change(request.user, timezone.localdate())
    time = book_time()
    row = rank_swaps.ask(str(request.user), time.now)
    if row.total <= AT_ONCE:
        rank_swaps.go_on(row.pk, time.clock)
    elif not tasks.hand_out_ranking(row.pk):
        messages.warning(
            request, "The queue does not answer. The order is written down as wanted and waits for it."
        )
    return redirect("next-swaps")


@require_POST
def ask_for(request: HttpRequest, code: str) -> HttpResponse:
    mesh = mesh_to_change(request.user, code, timezone.localdate())
    place = row_of(mesh.code)
    if place is None:
        messages.error(request, f"{mesh.code} has no place in the order; work it out anew.")
        return redirect("next-swaps")
    if because := why_not_asked(place):
        messages.error(request, because)
        return redirect("next-swaps")
    try:
        swap = ask(mesh, Wish(Why.PRECAUTION, because_of(place)), str(request.user), timezone.now())
    except MoveRefused as error:
        messages.error(request, str(error))
        return redirect("next-swaps")
    messages.success(request, "Written down. Now agree on the day, the radio, and who goes.")
    return redirect("replacement", swap.uid)


@require_POST
def support(request: HttpRequest) -> HttpResponse:
    require_whole_book(request)
    access.require_change(request.user, timezone.localdate())
    form = SupportForm(request.POST)
    if form.is_valid():
        told = form.cleaned_data
        try:
            rank_swaps.say_support(
                told["model"], told["last_day"], told["said_by"], str(request.user), timezone.now()
            )
        except rank_swaps.SupportError as error:
            form.add_error("said_by", str(error))
        else:
            messages.success(request, "Written down. It counts when the order is worked out anew.")
            return redirect("next-swaps")
    return _page(request, form, status=422)


def _page(request: HttpRequest, form: SupportForm, status: int = 200) -> HttpResponse:
    now = book_time().now
    order = order_of(request.GET.get("page"), now)
    still = "still" in request.GET or form.is_bound
    context = {
        "order": order,
        "rows": [
            {
                "row": row,
                "lines": lines_of(row.place, order.weights, row.ranked.told),
                "chance": chance_of(row.place),
                "visit": visit_of(row.place),
            }
            for row in order.rows
        ],
        "form": form,
        "models": supported(),
        "still": still,
        "renew_seconds": RENEW_SECONDS,
        "first_line": first_line(order),
    }
    response = render(request, "fleet/next_swaps.html", context, status=status)
    if order.under_way and not still:
        response.headers["Refresh"] = str(RENEW_SECONDS)
    return response


def first_line(order: Order) -> str:
    """Which radio should be swapped next, and why."""
    if order.ranking is None:
        if order.under_way:
            return f"The order is being worked out: {order.under_way.done:,} of {order.under_way.total:,} meshes."
        return "Which radio should be swapped next? Nobody has worked out the order yet."
    if order.first is None:
        return "Everything on this leaf is under way already." if order.rows else "No mesh is in care."
    return headline(order.first.place)


def require_whole_book(request: HttpRequest) -> None:
    """Http404 unless this person sees the whole book."""
    if not access.sees_whole_book(request.user, timezone.localdate()):
        raise Http404("There is nothing here.")
