"""Ticking off the steps with which an agreement ends."""

from datetime import date, datetime

from django.db import transaction

from fleet.models import LeavingStep, PushToken
from fleet.planning.leaving import Step
from fleet.verbs import journal, push_tokens
from sites.models import Agreement


@transaction.atomic
def tick(agreement: Agreement, step: Step, note: str, by: str, today: date, now: datetime) -> None:
    """Note a step as done on that day at the home; a second time changes nothing.

    Ending access does it at once: the home's push tokens push no more and nobody stays named for the home.
    """
    _, is_new = LeavingStep.objects.get_or_create(
        agreement=agreement, step=step.value, defaults={"done_on": today, "by": by, "note": note[:200]}
    )
    if not is_new:
        return
    ended = _end_access(agreement, by, now) if step is Step.ACCESS else {}
    journal.record(by, "leaving step done", agreement.site.code, now, step=step.value, **ended)


@transaction.atomic
def untick(agreement: Agreement, step: Step, by: str, now: datetime) -> None:
    """Take a tick back. Tokens that were ended stay ended."""
    gone, _ = agreement.leaving_steps.filter(step=step.value).delete()
    if gone:
        journal.record(by, "leaving step taken back", agreement.site.code, now, step=step.value)


def _end_access(agreement: Agreement, by: str, now: datetime) -> dict[str, int]:
    site = agreement.site
    tokens = list(PushToken.objects.filter(mesh__site=site, revoked_at=None).select_related("mesh"))
    for token in tokens:
        push_tokens.revoke(token, by, now)
    people = site.people.count()
    site.people.clear()
    return {"tokens": len(tokens), "people": people}
