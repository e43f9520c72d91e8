"""Trying the proposed field guide of a waiting document, and confirming it."""

from collections import Counter
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from fleet.models import TrayItem
from fleet.pages import first_lines
from fleet.pages.offer import Said, said_in
from fleet.pages.tray_item import Look, item_page, look_into
from fleet.queries.tray import item_to_change
from fleet.snapshots.choosing import Unclear, chosen_guide
from fleet.snapshots.decoding import Problem
from fleet.snapshots.guide_facts import words
from fleet.snapshots.guide_rules import FieldGuide
from fleet.snapshots.guides import lacking
from fleet.verbs.guides import Confirmed, confirm_for, try_out
from fleet.verbs.tray import TrayRefused


@require_POST
def guide(request: HttpRequest, uid: UUID) -> HttpResponse:
    """The form of the proposal: tried, or confirmed where it reads the document. Nothing else is stored."""
    row = item_to_change(request.user, uid, timezone.localdate())
    if row.cleared_at is not None:
        messages.error(
            request, f"{row.cleared_by or 'Somebody'} was faster: this document has left the tray."
        )
        return redirect("tray-item", uid)
    said, look = said_in(request.POST), look_into(row, str(request.user), timezone.now())
    if look.proposal is None:
        messages.error(request, look.closed or "No field guide can be proposed for this document.")
        return redirect("tray-item", uid)
    try:
        made = _made(look, said)
    except Unclear as error:
        line = "The field guide is not complete yet. See what is missing below."
        return item_page(request, row, look, said, unclear=error.problems, first_line=line)
    tried = try_out(made, row, look.document, look.body)
    if request.POST.get("act") == "confirm" and tried.facts is not None:
        return _confirm(request, row, made, said)
    return item_page(request, row, look, said, tried=tried, first_line=first_lines.of_tried(tried))


def _made(look: Look, said: Said) -> FieldGuide:
    """The guide as it was chosen; Unclear where it cannot read a snapshot's facts."""
    made = chosen_guide(look.proposal, said.name, said.picked, said.stated)
    if missing := lacking(made):
        right = "where it stands in the document, or what it is"
        raise Unclear(Problem(words(fact), "", right) for fact in missing)
    return made


def _confirm(request: HttpRequest, row: TrayItem, made: FieldGuide, said: Said) -> HttpResponse:
    try:
        done = confirm_for(row, made, said.known_by, str(request.user), timezone.now())
    except TrayRefused as error:
        messages.error(request, str(error))
    else:
        messages.success(request, _told(done))
    return redirect("tray-item", row.uid)


def _told(done: Confirmed) -> str:
    """How many documents left the tray, and why the others still wait."""
    left = "One document" if done.taken_in == 1 else f"{done.taken_in or 'No'} documents"
    told = f"The field guide “{done.row.name}” is confirmed. {left} left the tray."
    reasons = Counter(item.get_reason_display().lower() for item in done.waiting)
    if not reasons:
        return told
    waits = "One still waits" if done.still_waiting == 1 else f"{done.still_waiting} still wait"
    return f"{told} {waits}: " + ", ".join(f"{count} {why}" for why, count in reasons.items()) + "."
