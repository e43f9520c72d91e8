"""Owner's papers: the months of the book, for those who decide for the firm."""

from datetime import date
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from reports.facts.errors import FactsError
from reports.facts.stretches import month_before, month_named
from reports.models import Sheet
from reports.queries.months import book_begins, firm_of_the_book, issued_months, months_to_choose
from reports.queries.subjects import digest_of
from reports.verbs import issuing
from sites import access


@require_safe
def months(request: HttpRequest) -> HttpResponse:
    """Which months were issued, and issuing one."""
    _require_office(request)
    firm = firm_of_the_book()
    newest = month_before(_today(firm.time_zone))[0]
    issued = issued_months()
    context = {
        "zone": firm.time_zone,
        "in_force": [sheet for sheet in issued if not hasattr(sheet, "replaced_by")],
        "replaced": [sheet for sheet in issued if hasattr(sheet, "replaced_by")],
        "choices": months_to_choose(newest, book_begins(firm.time_zone)),
        "first_line": _first_line(issued, newest),
    }
    return render(request, "reports/months.html", context)


@require_POST
def issue(request: HttpRequest) -> HttpResponse:
    """Issue the month that was chosen."""
    _require_office(request)
    firm = firm_of_the_book()
    try:
        begins = book_begins(firm.time_zone)
        days = month_named(request.POST.get("month", ""), _today(firm.time_zone), begins)
        sheet = issuing.issue(digest_of(*days), str(request.user), timezone.now())
    except FactsError as error:
        messages.error(request, f"Nothing was issued. {error}")
    else:
        messages.success(request, f"Month of the book {sheet.about}, {sheet.number}, is issued.")
    return redirect("months")


def _first_line(issued: list[Sheet], newest: date) -> str:
    """Whether the last whole month was issued."""
    name = f"{newest:%B %Y}"
    if not issued:
        return f"No month of the book has been issued yet; {name} is the last whole one."
    if any(sheet.about == f"{newest:%Y-%m}" for sheet in issued):
        return f"The month of {name} has been issued."
    return f"The month of {name} has not been issued yet."


def _today(zone: str) -> date:
    return timezone.now().astimezone(ZoneInfo(zone)).date()


def _require_office(request: HttpRequest) -> None:
    if not access.may_decide(request.user, timezone.localdate()):
        raise Http404("There is nothing here.")
