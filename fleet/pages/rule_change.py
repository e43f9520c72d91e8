"""Changing a keep rule on a page, in two steps: the effect is shown, then it is saved as it was shown.

Asking for the effect changes nothing, so it is a link that can be leafed through, gone back to and sent on.
"""

from dataclasses import dataclass
from datetime import datetime
from urllib.parse import urlencode

from django import forms
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.utils import timezone

from fleet.pages import first_lines_keeping as first_lines
from fleet.planning.rule_change import Effect
from fleet.queries.rule_effect import Preview
from fleet.verbs.keep_rules import Change, RuleRefused, effect_of, save
from fleet.verbs.two_people import Who
from sites.forms import SecondPerson

HOMES_A_LEAF = 50
SHOW, EDIT = "show", "edit"


class SeenForm(forms.Form):
    """The effect that the person was shown before they pressed save."""

    marked = forms.IntegerField(min_value=0, widget=forms.HiddenInput)
    unmarked = forms.IntegerField(min_value=0, widget=forms.HiddenInput)
    sooner = forms.IntegerField(min_value=0, widget=forms.HiddenInput)


@dataclass(frozen=True, slots=True)
class Step:
    """A change that is asked for: its form, what it says in words, and where the page leads back to."""

    change: Change
    form: forms.BaseForm
    words: str
    back: dict[str, str]

    def link(self, act: str) -> str:
        """The query that asks for the same again."""
        filled = {name: self.form.data.get(name, "") for name in self.form.fields}
        return urlencode({"act": act, **{name: value for name, value in filled.items() if value}})


def asked(request: HttpRequest) -> QueryDict | None:
    """What was filled in: to be saved, to be shown, or to be filled in again; None on a first visit."""
    if request.method == "POST":
        return request.POST
    return request.GET if request.GET.get("act") in (SHOW, EDIT) else None


def is_settled(request: HttpRequest, form: forms.BaseForm) -> bool:
    """Whether the form is right, and the person does not want to change it once more."""
    return form.is_valid() and request.GET.get("act") != EDIT


def shown_or_saved(request: HttpRequest, step: Step) -> HttpResponse | None:
    """The page with the effect, or None once the change is saved. Call when the form is settled."""
    now = timezone.now()
    data = request.POST if request.method == "POST" else None
    second = SecondPerson(data, first=request.user, today=timezone.localdate(), needed=False)
    seen = SeenForm(data, prefix="seen")
    if seen.is_valid() and second.is_valid():
        return _save(request, step, second, Effect(**seen.cleaned_data), now)
    return _effect_page(request, step, second, effect_of(step.change, now))


def _save(
    request: HttpRequest, step: Step, second: SecondPerson, seen: Effect, now: datetime
) -> HttpResponse | None:
    agreed = second.cleaned_data["second"]
    try:
        second_name = Who.of(agreed) if agreed else ""
        save(step.change, Who.of(request.user), now, seen=seen, second=second_name)
    except RuleRefused as refused:
        second.add_error(None, str(refused))
        return _effect_page(request, step, second, refused.preview)
    return None


def _effect_page(request: HttpRequest, step: Step, second: SecondPerson, found: Preview) -> HttpResponse:
    total = found.total
    for name in ("second_name", "second_password"):
        second.fields[name].required = found.needs_second
    shown = {"marked": total.marked, "unmarked": total.unmarked, "sooner": total.sooner}
    context = {
        "step": step,
        "back": step.back,
        "found": found,
        "seen": SeenForm(initial=shown, prefix="seen"),
        "second": second,
        "page": Paginator(found.homes, HOMES_A_LEAF).get_page(request.GET.get("page")),
        "keep": f"{step.link(SHOW)}&",
        "edit": f"?{step.link(EDIT)}",
        "first_line": first_lines.of_effect(found),
    }
    return render(request, "fleet/rule_effect.html", context)
