"""Who works when, and whose licence ends; one person's page and the forms on it.

Everybody sees their own; the owner and the office see and change all. The calendar's address: `fleet.pages.calendars`.
"""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from fleet.pages import first_lines_people
from fleet.pages.people_forms import BaseForm, DayOffForm, HoursForm, LicenceForm, SkillsForm
from fleet.queries.feeds import live_token
from fleet.queries.people import workers
from fleet.queries.visits.pages import stops_ahead
from fleet.verbs.journal import record
from sites import access, verbs
from sites.models import DayOff, Licence, Person


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """Everybody for those who decide; for others their own line."""
    now, today = timezone.now(), timezone.localdate()
    if access.has_ended(request.user, today):
        raise Http404("There is nothing here.")
    found = [
        each
        for each in workers(access.people_for(request.user, today), now)
        if not access.has_ended(each.person, today)
    ]
    may_decide = access.may_decide(request.user, today)
    mine = not may_decide
    context = {
        "workers": [each for each in found if each.days_out or each.facts.base or each.licences or mine],
        "others": [each for each in found if not (each.days_out or each.facts.base or each.licences or mine)],
        "may_decide": may_decide,
        "first_line": first_lines_people.of_person(found[0], mine=True)
        if mine
        else first_lines_people.of_people(found),
    }
    return render(request, "fleet/people.html", context)


@require_safe
@never_cache
def person(request: HttpRequest, username: str) -> HttpResponse:
    return person_page(request, access.person_for(request.user, username, timezone.localdate()), {})


@require_POST
def hours(request: HttpRequest, username: str) -> HttpResponse:
    row = _to_change(request, username)
    form = HoursForm(request.POST, person=row)
    return _done(
        request,
        row,
        "hours",
        form,
        lambda told, by: verbs.set_hours(row, form.week, by, timezone.now(), record),
    )


@require_POST
def base(request: HttpRequest, username: str) -> HttpResponse:
    row = _to_change(request, username)
    form = BaseForm(request.POST, instance=_to_change(request, username))

    def act(told: dict[str, Any], by: str) -> None:
        verbs.set_base(form.instance, form.changed_data, by, timezone.now(), record)

    return _done(request, row, "base", form, act)


@require_POST
def licence(request: HttpRequest, username: str) -> HttpResponse:
    row = _to_change(request, username)
    form = LicenceForm(request.POST, instance=Licence(person=row))
    return _done(
        request,
        row,
        "licence",
        form,
        lambda told, by: verbs.give_licence(form.instance, by, timezone.now(), record),
    )


@require_POST
def strike_licence(request: HttpRequest, username: str, pk: int) -> HttpResponse:
    row = _to_change(request, username)
    held = get_object_or_404(row.licences.select_related("person"), pk=pk)
    verbs.strike_licence(held, str(request.user), timezone.now(), record)
    messages.success(request, "The licence was struck out.")
    return redirect("person", row.username)


@require_POST
def off(request: HttpRequest, username: str) -> HttpResponse:
    row = _to_change(request, username)
    form = DayOffForm(request.POST, instance=DayOff(person=row))
    return _done(
        request, row, "off", form, lambda told, by: verbs.take_off(form.instance, by, timezone.now(), record)
    )


@require_POST
def strike_off(request: HttpRequest, username: str, pk: int) -> HttpResponse:
    row = _to_change(request, username)
    days = get_object_or_404(row.days_off.select_related("person"), pk=pk)
    verbs.strike_off(days, str(request.user), timezone.now(), record)
    messages.success(request, "These are days of work again.")
    return redirect("person", row.username)


@require_POST
def skills(request: HttpRequest, username: str) -> HttpResponse:
    row = _to_change(request, username)

    def act(told: dict[str, Any], by: str) -> None:
        verbs.set_skills(row, told["names"], by, timezone.now(), record)

    return _done(request, row, "skills", SkillsForm(request.POST), act)


def person_page(
    request: HttpRequest, row: Person, tried: dict[str, forms.Form], status: int = 200
) -> HttpResponse:
    """The page, with the form that was just tried and its faults."""
    now, today = timezone.now(), timezone.localdate()
    (worker,) = workers([row], now)
    known = ", ".join(sorted(worker.facts.skills))
    mine = row.pk == request.user.pk
    context = {
        "person": row,
        "worker": worker,
        "stops": stops_ahead(row, now),
        "licences": list(row.licences.order_by("-valid_until", "kind")),
        "has_ended": access.has_ended(row, today),
        "mine": mine,
        "may_decide": access.may_decide(request.user, today),
        "calendar": live_token(row),
        "forms": {
            "hours": tried.get("hours") or HoursForm(person=row),
            "base": tried.get("base") or BaseForm(instance=row),
            "licence": tried.get("licence") or LicenceForm(auto_id="licence_%s"),
            "off": tried.get("off") or DayOffForm(auto_id="off_%s"),
            "skills": tried.get("skills") or SkillsForm(initial={"names": known}),
        },
        "first_line": first_lines_people.of_person(worker, mine),
    }
    return render(request, "fleet/person.html", context, status=status)


def _done(
    request: HttpRequest,
    row: Person,
    name: str,
    form: forms.Form,
    act: Callable[[dict[str, Any], str], None],
) -> HttpResponse:
    if form.is_valid():
        try:
            act(form.cleaned_data, str(request.user))
        except verbs.WorkingRefused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Written down.")
            return redirect("person", row.username)
    return person_page(request, row, {name: form}, status=422)


def _to_change(request: HttpRequest, username: str) -> Person:
    return access.person_to_change(request.user, username, timezone.localdate())
