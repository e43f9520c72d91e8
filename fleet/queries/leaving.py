"""Agreements that end, and where each stands on its way out."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from fleet.planning.leaving import DatedStep, LeavingFacts, Step, StepState, steps_of
from fleet.planning.standing import ENDING_SOON_DAYS
from fleet.queries.erasure import holds_of
from sites import access
from sites.models import Agreement, Person

OPEN = (StepState.COMING, StepState.DUE, StepState.LATE, StepState.HELD)


@dataclass(frozen=True, slots=True)
class Leaving:
    """One agreement that ends soon, the step that is next on its way out, and how many steps are due."""

    agreement: Agreement
    step: DatedStep | None
    due: int


def ending_soon(person: Person, now: datetime, today: date) -> list[Leaving]:
    """The agreements of the homes open to this person that end within 90 days, the earliest first; four statements.

    today is the firm's day, by which the 90 are counted; steps fall due on the day at each home.
    """
    last = today + timedelta(days=ENDING_SOON_DAYS)
    ending = (
        Agreement.objects.filter(site__in=access.sites_for(person, today), ends_on__range=(today, last))
        .filter(site__client__erased_at=None)
        .select_related("site__client")
        .prefetch_related("leaving_steps", "site__agreements")
        .order_by("ends_on", "site__code")
    )
    agreements = list(ending)
    holds = holds_of({each.site.client for each in agreements})
    return [_leaving(each, now, holds[each.site.client_id]) for each in agreements]


def _leaving(agreement: Agreement, now: datetime, holds: list[str]) -> Leaving:
    steps = _steps(agreement, now.astimezone(ZoneInfo(agreement.site.time_zone)).date(), holds)
    due = sum(each.state in (StepState.DUE, StepState.LATE) for each in steps)
    return Leaving(agreement, next((each for each in steps if each.state in OPEN), None), due)


def steps_for(agreement: Agreement, today: date) -> tuple[DatedStep, ...]:
    """The twelve steps of an agreement that has an end; today is the day at the home."""
    client = agreement.site.client
    return _steps(agreement, today, holds_of([client])[client.pk])


def _steps(agreement: Agreement, today: date, holds: list[str]) -> tuple[DatedStep, ...]:
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
        hold="; ".join(holds),
        bill_open=site.client.bill_open,
    )
    return steps_of(facts, today)


def _is_renewed(agreement: Agreement, ends_on: date) -> bool:
    """Whether another agreement of the home goes on without a gap."""
    day_after = ends_on + timedelta(days=1)
    return any(
        other.starts_on <= day_after and (other.ends_on is None or other.ends_on >= day_after)
        for other in agreement.site.agreements.all()
        if other.pk != agreement.pk
    )
