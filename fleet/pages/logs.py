"""The journal: who did and saw what."""

from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.models import JournalEntry
from fleet.pages import first_lines
from fleet.queries.journal_chain import head
from sites import access

LINES_A_PAGE = 100


@require_safe
def journal(request: HttpRequest) -> HttpResponse:
    _require_whole_book(request)
    subject = request.GET.get("about", "").strip()[:60]
    lines = JournalEntry.objects.filter(subject=subject) if subject else JournalEntry.objects.all()
    page = Paginator(lines, LINES_A_PAGE).get_page(request.GET.get("page"))
    keep = f"{urlencode({'about': subject})}&" if subject else ""
    line = first_lines.of_journal(page.paginator.count, subject)
    context = {"page": page, "about": subject, "keep": keep, "first_line": line, "chain": head()}
    return render(request, "fleet/journal.html", context)


def _require_whole_book(request: HttpRequest) -> None:
    if not access.sees_whole_book(request.user, timezone.localdate()):
        raise Http404("There is nothing here.")
