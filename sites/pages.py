"""Pages about clients, and the forms with which a firm enters a home."""

from typing import NamedTuple
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.forms import ModelForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import format_html
from django.views.decorators.http import require_POST, require_safe

from sites import access, queries, verbs
from sites.forms import AgreementForm, ClientForm, ContactForm, HoldForm, SiteForm
from sites.models import Agreement, Client, Contact, Site
from sites.verbs import Record

CLIENTS_A_PAGE = 50


class Back(NamedTuple):
    """Where a form leads back to, and what that page is called."""

    address: str
    name: str


@require_safe
def clients(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    words = request.GET.get("q", "").strip()[:100]
    found = queries.homes_by_client(
        access.clients_for(request.user, today), access.sites_for(request.user, today), words
    )
    page = Paginator(found, CLIENTS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "words": words,
        "keep": f"{urlencode({'q': words})}&" if words else "",
        "may_change": access.may_change(request.user, today),
        "first_line": _clients_line(page.paginator.count, words, 0 if words else queries.erased(found)),
    }
    return render(request, "sites/clients.html", context)


@require_safe
def client(request: HttpRequest, uid: UUID) -> HttpResponse:
    today = timezone.localdate()
    row = access.client_for(request.user, uid, today)
    homes = list(queries.homes_of(row, access.sites_for(request.user, today)))
    context = {
        "client": row,
        "homes": homes,
        "may_change": access.may_change(request.user, today) and row.erased_at is None,
        "may_decide": access.may_decide(request.user, today),
        "first_line": _client_line(row, len(homes)),
    }
    return render(request, "sites/client.html", context)


def new_client(request: HttpRequest, record: Record) -> HttpResponse:
    access.require_change(request.user, timezone.localdate())
    form = ClientForm(request.POST or None)
    if form.is_valid():
        return redirect("client", _put_down(request, form, record).uid)
    return _form_page(request, form, "Who is the new client?", Back(reverse("clients"), "Clients"))


def change_client(request: HttpRequest, uid: UUID, record: Record) -> HttpResponse:
    row = access.client_to_change(request.user, uid, timezone.localdate())
    form = ClientForm(request.POST or None, instance=row)
    if form.is_valid():
        _put_down(request, form, record)
        return redirect("client", uid)
    return _form_page(request, form, "What has changed about this client?", _to_client(row))


def hold(request: HttpRequest, uid: UUID, record: Record) -> HttpResponse:
    row = access.client_to_decide(request.user, uid, timezone.localdate())
    form = HoldForm(request.POST or None, instance=row)
    if form.is_valid():
        _put_down(request, form, record)
        return redirect("client", uid)
    question = "Does a legal hold forbid to erase anything of this client?"
    return _form_page(request, form, question, _to_client(row))


def new_site(request: HttpRequest, uid: UUID, record: Record) -> HttpResponse:
    owner = access.client_to_change(request.user, uid, timezone.localdate())
    form = SiteForm(request.POST or None, instance=Site(client=owner))
    if form.is_valid():
        return redirect("folder", _put_down(request, form, record).code)
    return _form_page(request, form, "Where is the new home?", _to_client(owner))


def change_site(request: HttpRequest, code: str, record: Record) -> HttpResponse:
    row = access.site_to_change(request.user, code, timezone.localdate())
    return _about_site(request, row, SiteForm(request.POST or None, instance=row), "What has changed", record)


def new_contact(request: HttpRequest, code: str, record: Record) -> HttpResponse:
    site = access.site_to_change(request.user, code, timezone.localdate())
    form = ContactForm(request.POST or None, instance=Contact(site=site))
    return _about_site(request, site, form, "Whom do we call", record)


def change_contact(request: HttpRequest, code: str, pk: int, record: Record) -> HttpResponse:
    site = access.site_to_change(request.user, code, timezone.localdate())
    form = ContactForm(request.POST or None, instance=get_object_or_404(site.contacts, pk=pk))
    return _about_site(request, site, form, "What has changed about this contact", record)


@require_POST
def strike_contact(request: HttpRequest, code: str, pk: int, record: Record) -> HttpResponse:
    site = access.site_to_change(request.user, code, timezone.localdate())
    row = get_object_or_404(site.contacts.select_related("site"), pk=pk)
    verbs.strike_contact(row, str(request.user), timezone.now(), record)
    messages.success(request, f"{row.name} was struck out.")
    return redirect("folder", code)


def new_agreement(request: HttpRequest, code: str, record: Record) -> HttpResponse:
    site = access.site_to_change(request.user, code, timezone.localdate())
    form = AgreementForm(request.POST or None, instance=Agreement(site=site))
    return _about_site(request, site, form, "What do we promise", record)


def change_agreement(request: HttpRequest, code: str, pk: int, record: Record) -> HttpResponse:
    site = access.site_to_change(request.user, code, timezone.localdate())
    form = AgreementForm(request.POST or None, instance=get_object_or_404(site.agreements, pk=pk))
    return _about_site(request, site, form, "What has changed in the agreement", record)


def _about_site(
    request: HttpRequest, site: Site, form: ModelForm, question: str, record: Record
) -> HttpResponse:
    if form.is_valid():
        _put_down(request, form, record)
        return redirect("folder", site.code)
    return _form_page(
        request, form, f"{question} at {site.code}?", Back(reverse("folder", args=[site.code]), site.code)
    )


def _put_down(request: HttpRequest, form: ModelForm, record: Record) -> verbs.Row:
    row = form.save(commit=False)
    verbs.put_down(row, form.changed_data, str(request.user), timezone.now(), record)
    messages.success(request, "Written down.")
    return row


def _form_page(request: HttpRequest, form: ModelForm, question: str, back: Back) -> HttpResponse:
    context = {"form": form, "first_line": question, "back": back}
    return render(request, "sites/form.html", context)


def _to_client(row: Client) -> Back:
    return Back(reverse("client", args=[row.uid]), row.name)


def _clients_line(count: int, words: str, erased: int) -> str:
    """count: all that were found, erased ones among them; those are looked after no more."""
    clients = "one client" if count - erased == 1 else f"{count - erased} clients"
    if words:
        return (
            f"{clients[0].upper()}{clients[1:]} found for “{words}”."
            if count
            else f"Nobody found for “{words}”."
        )
    if not count:
        return "No client is in the book yet."
    gone = f"{'one' if erased == 1 else erased} more {'was' if erased == 1 else 'were'} erased"
    if count == erased:
        return f"We look after no client; {gone.replace(' more', '')}."
    return f"We look after {clients}; {gone}." if erased else f"We look after {clients}."


def _client_line(row: Client, homes: int) -> str:
    how_many = {0: "no home", 1: "one home"}.get(homes, f"{homes} homes")
    if row.erased_at is not None:
        day = date_format(row.erased_at, "j M Y")
        return format_html(
            '<bdi lang="{}">{}</bdi> was erased on {}; {} on record.', row.language, row.name, day, how_many
        )
    return format_html('<bdi lang="{}">{}</bdi> has {} in the book.', row.language, row.name, how_many)
