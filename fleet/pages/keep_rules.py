"""The keep rules of the book, one rule, and what is marked to go in the whole book."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_safe

from fleet.forms import KeepRuleForm
from fleet.models import KeepRule
from fleet.pages import first_lines_keeping as first_lines
from fleet.pages.rule_change import Step, asked, is_settled, shown_or_saved
from fleet.queries.keep_rules import clients_by, marked_count, marked_meshes, meshes_with_marked, rules_shown
from fleet.queries.rule_book import numbers_of
from fleet.queries.rule_effect import kept_now
from fleet.verbs.keep_rules import RuleEdited
from sites import access

MESHES_A_PAGE = 50
CHOOSERS_SHOWN = 100


@require_safe
def rules(request: HttpRequest) -> HttpResponse:
    _require_whole_book(request)
    shown = rules_shown()
    context = {
        "rules": shown,
        "may_change": access.may_change(request.user, timezone.localdate()),
        "first_line": first_lines.of_rules(shown),
    }
    return render(request, "fleet/keep_rules.html", context)


@require_safe
def marked(request: HttpRequest) -> HttpResponse:
    _require_whole_book(request)
    page = Paginator(meshes_with_marked(), MESHES_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": marked_meshes(page.object_list),
        "first_line": first_lines.of_marked(marked_count(), page.paginator.count),
    }
    return render(request, "fleet/marked.html", context)


@sensitive_post_parameters("second_password")
def new_rule(request: HttpRequest) -> HttpResponse:
    _require_whole_book(request)
    return _rule_page(request, KeepRule())


@sensitive_post_parameters("second_password")
def rule(request: HttpRequest, pk: int) -> HttpResponse:
    _require_whole_book(request)
    return _rule_page(request, get_object_or_404(KeepRule, pk=pk))


def _rule_page(request: HttpRequest, row: KeepRule) -> HttpResponse:
    question = first_lines.of_rule(row)
    form = KeepRuleForm(asked(request), instance=row)
    back = {"address": reverse("keep-rules"), "name": "Keep rules"}
    if is_settled(request, form):
        row = form.save(commit=False)
        words = f"{row.name}: {numbers_of(row).in_words()}"
        answer = shown_or_saved(request, Step(RuleEdited(row), form, words, back))
        if answer is not None:
            return answer
        messages.success(request, f"The rule {row.name} is saved. The next round goes by it.")
        return redirect("keep-rules")
    context = {
        "form": form,
        "rule": row,
        "clients": clients_by(row)[:CHOOSERS_SHOWN] if row.pk else [],
        "meshes": row.meshes.order_by("code")[:CHOOSERS_SHOWN] if row.pk else [],
        "kept": kept_now(),
        "back": back,
        "first_line": question,
    }
    return render(request, "fleet/keep_rule.html", context)


def _require_whole_book(request: HttpRequest) -> None:
    if not access.sees_whole_book(request.user, timezone.localdate()):
        raise Http404("There is nothing here.")
