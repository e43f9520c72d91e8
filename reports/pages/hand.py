"""What a link opens: one sheet, to read and where the link says so to sign, for somebody without an account.

The token comes in the body of a form, never in an address: a small script takes it from behind the "#", or people
paste it. Every answer here is made anew from the token; nobody is remembered.
"""

from collections.abc import Callable
from functools import wraps

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_http_methods, require_POST

from reports.forms import SignForm
from reports.models import SheetLink, Signature
from reports.pages.files import damaged, pdf
from reports.pages.strangers import open_to_strangers
from reports.queries.verifying import told
from reports.verbs.archived import Damaged, file_name, octets_of
from reports.verbs.links import LinkOver, UnknownLink, is_erased, note_use, open_link
from reports.verbs.signing import SignError, sign, slip_of
from sites.models import Firm


@require_http_methods(["GET", "HEAD", "POST"])
@open_to_strangers
def hand(request: HttpRequest) -> HttpResponse:
    """GET: where the token is asked for. POST: the sheet that it opens."""
    if request.method != "POST":
        return render(
            request, "reports/hand_ask.html", {"first_line": "A sheet was handed to you by a link."}
        )
    try:
        link = open_link(request.POST.get("token", ""), timezone.now())
    except (UnknownLink, LinkOver) as error:
        return _closed(request, error)
    return _page(request, link, None)


def by_link(page: Callable[[HttpRequest, SheetLink], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """A page that is asked with a token in the body, and is handed the link that it opens."""

    @require_POST
    @open_to_strangers
    @wraps(page)
    def answered(request: HttpRequest) -> HttpResponse:
        try:
            link = open_link(request.POST.get("token", ""), timezone.now(), counted=False)
        except (UnknownLink, LinkOver) as error:
            return _closed(request, error)
        return page(request, link)

    return answered


@by_link
def hand_file(request: HttpRequest, link: SheetLink) -> HttpResponse:
    """The PDF."""
    try:
        octets = octets_of(link.sheet)
    except Damaged as error:
        return damaged(request, error, None)
    note_use(link, "sheet taken by link", timezone.now())
    return pdf(octets, file_name(link.sheet))


@by_link
def hand_sign(request: HttpRequest, link: SheetLink) -> HttpResponse:
    """A signature through the link."""
    if not link.may_sign:
        return _page(request, link, None, "This link is for reading only. Ask for one to sign by.", 403)
    form = SignForm(request.POST)
    if not form.is_valid():
        return _page(request, link, form, status=422)
    try:
        sign(link.sheet, form.signer(), link, timezone.now())
    except SignError as error:
        return _page(request, link, form, str(error), 422)
    note_use(link, "sheet signed by link", timezone.now())
    return _page(request, link, None)


@by_link
def hand_slip(request: HttpRequest, link: SheetLink) -> HttpResponse:
    """The slip of the newest signature that was given through this very link."""
    signature = _signatures(link).last()
    if signature is None:
        return _page(request, link, None, "Nothing was signed through this link yet.", 404)
    note_use(link, "slip taken by link", timezone.now())
    return pdf(slip_of(signature), f"slip-{link.sheet.number}.pdf")


def _page(
    request: HttpRequest, link: SheetLink, form: SignForm | None, wrong: str = "", status: int = 200
) -> HttpResponse:
    sheet = link.sheet
    found = told(sheet)
    signatures = list(_signatures(link))
    context = {
        "link": link,
        "sheet": sheet,
        "found": found,
        "token": request.POST.get("token", "").strip(),
        "form": form or SignForm(initial={"name": link.for_whom}),
        "signatures": signatures,
        "may_sign": link.may_sign and not found.by,
        "wrong": wrong,
        "firm": Firm.objects.first(),
        "first_line": _first_line(link, found.by, signatures),
    }
    return render(request, "reports/hand.html", context, status=status)


def _signatures(link: SheetLink) -> QuerySet[Signature]:
    return Signature.objects.filter(link=link).select_related("sheet", "link", "account")


def _first_line(link: SheetLink, newer: str | None, signatures: list[Signature]) -> str:
    sheet = link.sheet
    kind = sheet.get_kind_display()
    if newer:
        return f"{kind} {sheet.number} was replaced by {newer}. Ask for that one; do not work from this one."
    if signatures:
        return f"{kind} {sheet.number} is signed. Thank you."
    until = date_format(link.expires_at, "j F Y")
    return f"{kind} {sheet.number} for {link.for_whom}, open until {until}."


def _closed(request: HttpRequest, error: UnknownLink | LinkOver) -> HttpResponse:
    """Neither the sheet nor the home is named: whoever holds an old link learns whom to call, and no more."""
    if isinstance(error, UnknownLink):
        line, status = "This link opens nothing. Some of it may be missing.", 404
    else:
        line, status = _over_line(error.link), 410
    context = {"first_line": line, "firm": Firm.objects.first()}
    return render(request, "reports/hand_closed.html", context, status=status)


def _over_line(link: SheetLink) -> str:
    if link.revoked_at:
        return f"This link was ended on {date_format(link.revoked_at, 'j F Y')}."
    if is_erased(link.sheet):
        return "This link is over."
    return f"This link ended on {date_format(link.expires_at, 'j F Y')}."
