"""One sheet after it was issued: handed over, mailed, signed."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from reports.forms import LinkForm, MailForm, SignForm
from reports.models import ON_A_WALL, Sheet, Signature
from reports.pages.files import pdf
from reports.queries.life import links_of, mails_of, signed
from reports.queries.out_of_date import what_changed
from reports.queries.readable import readable_by
from reports.queries.verifying import Standing, told, zone_of
from reports.verbs import links, mail_sheet
from reports.verbs.hanging import HangError, hang
from reports.verbs.links import LinkError
from reports.verbs.mail_sheet import MailError
from reports.verbs.signing import SignError, sign, slip_of
from sites import access


@never_cache
@require_safe
def sheet_about(request: HttpRequest, number: str) -> HttpResponse:
    return _page(request, _readable(request, number))


@never_cache
@require_POST
def sheet_link(request: HttpRequest, number: str) -> HttpResponse:
    """A new link, shown this once."""
    sheet = _to_hand_over(request, number)
    form = LinkForm(request.POST, prefix="link")
    if not form.is_valid():
        return _page(request, sheet, link_form=form, status=422)
    given = form.cleaned_data
    try:
        row, token = links.make(
            sheet, given["for_whom"], given["days"], given["may_sign"], str(request.user), timezone.now()
        )
    except LinkError as error:
        return _page(request, sheet, link_form=form, wrong=str(error), status=422)
    context = {
        "sheet": sheet,
        "link": row,
        "address": links.address_of(token, links.book_address(request.build_absolute_uri("/"))),
        "first_line": f"The link for {row.for_whom} is made. It is shown this once.",
    }
    return render(request, "reports/sheet_link.html", context)


@require_POST
def link_end(request: HttpRequest, uid: str) -> HttpResponse:
    """End a link at once."""
    link = get_object_or_404(links_of(readable_by(request.user, timezone.localdate())), uid=uid)
    access.require_change(request.user, timezone.localdate())
    links.revoke(link, str(request.user), timezone.now())
    messages.success(request, f"The link for {link.for_whom} opens nothing any more.")
    return redirect("sheet-about", link.sheet.number)


@require_POST
def sheet_mail(request: HttpRequest, number: str) -> HttpResponse:
    """The PDF by mail."""
    sheet = _to_hand_over(request, number)
    form = MailForm(request.POST, prefix="mail")
    if not form.is_valid():
        return _page(request, sheet, mail_form=form, status=422)
    given = form.cleaned_data
    try:
        row = mail_sheet.put(sheet, given["to_name"], given["address"], str(request.user), timezone.now())
    except MailError as error:
        return _page(request, sheet, mail_form=form, wrong=str(error), status=422)
    messages.success(request, f"{sheet.number} goes to {row.address} within minutes.")
    return redirect("sheet-about", sheet.number)


@require_POST
def sheet_hung(request: HttpRequest, number: str) -> HttpResponse:
    """Note that it hangs at the home."""
    sheet = _to_hand_over(request, number)
    try:
        hang(sheet, str(request.user), timezone.now())
    except HangError as error:
        return _page(request, sheet, wrong=str(error), status=422)
    messages.success(request, f"Written down: {sheet.number} hangs there.")
    return redirect("papers") if request.POST.get("back") == "papers" else redirect("sheet-about", number)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sheet_sign(request: HttpRequest, number: str) -> HttpResponse:
    """Signing on this very screen: by the reader, or by somebody they hand it to."""
    sheet = _to_hand_over(request, number)
    form = SignForm(request.POST or None)
    wrong = ""
    if form.is_valid():
        try:
            sign(sheet, form.signer(), request.user, timezone.now())
        except SignError as error:
            wrong = str(error)
        else:
            messages.success(request, f"{sheet.number} is signed by {form.cleaned_data['name']}.")
            return redirect("sheet-about", sheet.number)
    context = {
        **_places(sheet),
        "form": form,
        "wrong": wrong,
        "first_line": f"Sign sheet {sheet.number}, revision {sheet.revision}.",
    }
    return render(request, "reports/sheet_sign.html", context, status=422 if wrong or form.errors else 200)


@require_safe
def sheet_slip(request: HttpRequest, number: str, uid: str) -> HttpResponse:
    """The slip of one signature."""
    sheet = _readable(request, number)
    rows = Signature.objects.select_related("sheet", "account", "link")
    return pdf(slip_of(get_object_or_404(rows, sheet=sheet, uid=uid)), f"slip-{sheet.number}.pdf")


def _readable(request: HttpRequest, number: str) -> Sheet:
    sheets = readable_by(request.user, timezone.localdate()).select_related("replaced_by")
    return get_object_or_404(sheets, number=number)


def _to_hand_over(request: HttpRequest, number: str) -> Sheet:
    sheet = _readable(request, number)
    access.require_change(request.user, timezone.localdate())
    if links.is_erased(sheet):
        raise PermissionDenied("This client was erased; what is left is a record, and is handed to nobody.")
    return sheet


def _page(
    request: HttpRequest,
    sheet: Sheet,
    link_form: LinkForm | None = None,
    mail_form: MailForm | None = None,
    wrong: str = "",
    status: int = 200,
) -> HttpResponse:
    found = told(sheet)
    this = Sheet.objects.filter(pk=sheet.pk)
    client = sheet.site.client if sheet.site else sheet.client
    now = timezone.now()
    context = {
        **_places(sheet),
        "found": found,
        "changed": what_changed(sheet) if found.standing is Standing.STALE else "",
        "signed": signed([sheet])[sheet.pk],
        "links": [(link, links.is_over(link, now)) for link in links_of(this)],
        "mails": mails_of(this),
        "link_form": link_form or LinkForm(prefix="link"),
        "mail_form": mail_form
        or MailForm(
            prefix="mail",
            initial={"to_name": client.name if client else "", "address": client.email if client else ""},
        ),
        "may_hand_over": access.may_change(request.user, timezone.localdate()) and not links.is_erased(sheet),
        "hangs": sheet.kind in ON_A_WALL and not found.by,
        "wrong": wrong,
        "first_line": first_line(sheet, found.standing),
    }
    return render(request, "reports/sheet_about.html", context, status=status)


def _places(sheet: Sheet) -> dict[str, Any]:
    """Where a sheet belongs, for the trail."""
    return {
        "sheet": sheet,
        "site": sheet.site,
        "client": sheet.site.client if sheet.site else sheet.client,
        "zone": zone_of(sheet),
    }


def first_line(sheet: Sheet, standing: Standing) -> str:
    """Whether this sheet may be worked from."""
    kind = sheet.get_kind_display()
    if standing is Standing.REPLACED:
        return f"{kind} {sheet.number} was replaced by {sheet.replaced_by.number}. Do not work from it."
    if standing is Standing.STALE:
        return f"{kind} {sheet.number} is out of date."
    if standing is Standing.RECORD:
        return f"{kind} {sheet.number} shows the day of its issue and is not compared with the book."
    if standing is Standing.NOT_KEPT_UP:
        return f"{kind} {sheet.number} is no longer kept up: what it shows is not compared any more."
    return f"{kind} {sheet.number} is in force."
