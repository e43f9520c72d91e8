"""Agreements that end, and where each stands on its way out."""

from datetime import date, timedelta

from fleet.planning.leaving import DatedStep, LeavingFacts, Step, steps_of
from sites.models import Agreement


def steps_for(agreement: Agreement, today: date) -> tuple[DatedStep, ...]:
    """The twelve steps of an agreement that has an end; today is the day at the home."""
    if agreement.ends_on is None:
        return ()
    site = agreement.site
    done = {Step(row.step): row.done_on for row in agreement.leaving_steps.all()}
    if site.client.erased_at is not None:
        done[Step.ERASE] = site.client.erased_at.date()
    facts = LeavingFacts(
        ends_on=agreement.ends_on,
        notice_days=agreement.notice_days,
        country=site.country,
        done=done,
        renewed=_is_renewed(agreement, agreement.ends_on),
        hold=site.client.hold_reason,
        bill_open=site.client.bill_open,
    )
    return steps_of(facts, today)


def _is_renewed(agreement: Agreement, ends_on: date) -> bool:
    """Whether another agreement of the home goes on without a gap."""
    day_after = ends_on + timedelta(days=1)
    others = agreement.site.agreements.exclude(pk=agreement.pk).filter(starts_on__lte=day_after)
    return any(other.ends_on is None or other.ends_on >= day_after for other in others)
