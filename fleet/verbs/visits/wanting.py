"""Wanting a visit, changing what was said of it, and ending it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from math import ceil

from django.db import transaction

from fleet.models import (
    Forecast,
    Visit,
    VisitState,
    VisitTask,
    VisitWaiver,
    VisitWindow,
    VisitWork,
)
from fleet.models.visit import LONGEST_MINUTES
from fleet.planning.estimating import ThreePoints
from fleet.planning.visits.request import WAIVABLE, Rule
from fleet.queries.visits.due import DueVisit, due_work, joined
from fleet.queries.visits.estimate import estimate_of
from fleet.queries.visits.work import TOUCHES_RADIO
from fleet.verbs import journal
from fleet.verbs.visits.appointing import take_out
from fleet.verbs.visits.refusing import VisitRefused, insist_no_secret, insist_whole, insist_words
from sites.access import sees_whole_book
from sites.models import Person, Site

MOST_WINDOWS = 60
MOST_PARTS = 50


@dataclass(frozen=True, slots=True)
class Terms:
    """What is said of a visit beside its work. minutes None: as estimated. windows: begin and end, aware.

    A window that is named binds; none at all means the usual hours of every day.
    """

    minutes: ThreePoints | None = None
    windows: tuple[tuple[datetime, datetime], ...] = ()
    people: int = 1
    licences: tuple[str, ...] = ()
    skills: tuple[str, ...] = ()
    parts: Mapping[str, int] = field(default_factory=dict)
    due_at: datetime | None = None
    value: int | None = None
    not_before_weekend: bool = False
    daylight: bool = False


@transaction.atomic
def want_due(keys: Iterable[str], by: str, now: datetime) -> list[Visit]:
    """Want what is due, named by its keys (swap:KELP-7-A): the fewest visits for each home. Raises VisitRefused."""
    asked = list(dict.fromkeys(keys))
    if not asked:
        raise VisitRefused("work: nothing was chosen; choose at least one thing that is due.")
    due = {work.key: work for work in due_work(now)}
    gone = [key for key in asked if key not in due]
    if gone:
        raise VisitRefused(
            f"work: {gone[0]} is not due, or a visit for it is wanted already; look at the list again."
        )
    sites = {due[key].mesh.site_id for key in asked}
    _locked_sites(sites)
    return [_want(trip, "", Terms(), by, now) for trip in joined((due[key] for key in asked), now)]


@transaction.atomic
def want(site: Site, words: str, terms: Terms, by: str, now: datetime, with_due: bool = False) -> Visit:
    """Want a visit to a home for work in somebody's own words, for what is due there, or both. Raises VisitRefused.

    with_due takes along all that is due at the home. Without it the minutes must be given, as nothing estimates them.
    """
    (site,) = _locked_sites([site.pk])
    if site.client.erased_at is not None:
        raise VisitRefused(f"{site.code} was erased with its client; nobody goes there any more.")
    work = due_work(now, Site.objects.filter(pk=site.pk)) if with_due else []
    if not work and not words.strip():
        lacking = f"nothing is due at {site.code}; " if with_due else ""
        raise VisitRefused(f"words: {lacking}say what is to be done there.")
    if words.strip() and terms.minutes is None:
        raise VisitRefused(
            "minutes: nothing estimates work in your own words; write how long all of it takes."
        )
    trips = joined(work, now)
    if len(trips) > 1:
        raise VisitRefused(
            f"work: what is due at {site.code} takes {len(trips)} visits; want it from the list of what is due, and "
            "the other work by itself."
        )
    trip = trips[0] if trips else DueVisit(site, (), ThreePoints(0, 0, 0), None, 0)
    return _want(trip, words, terms, by, now)


def _want(trip: DueVisit, words: str, terms: Terms, by: str, now: datetime) -> Visit:
    visit = Visit(site=trip.site, asked_by=by[:120], asked_at=now)
    kinds = {work.kind for work in trip.work}
    _write_terms(visit, terms, kinds, trip.minutes)
    visit.due_at = terms.due_at or trip.due_at
    visit.value = trip.value if terms.value is None else terms.value
    insist_whole(visit)
    visit.save(force_insert=True)
    tasks = [
        VisitTask(
            visit=visit,
            kind=work.kind,
            mesh=work.mesh,
            replacement=work.replacement,
            words=f"{work.kind.label}, {work.mesh.code}",
        )
        for work in trip.work
    ]
    if words.strip():
        said = insist_no_secret("words", words.strip())
        tasks.append(VisitTask(visit=visit, kind=VisitWork.OTHER, words=said[:200]))
    for task in tasks:
        insist_whole(task)
        task.save(force_insert=True)
    _write_windows(visit, terms.windows)
    journal.record(
        by, "visit wanted", visit.site.code, now, visit=visit.code, work=[task.kind for task in tasks]
    )
    return visit


@transaction.atomic
def change(visit: Visit, terms: Terms, by: str, now: datetime) -> Visit:
    """Write down other terms; minutes None takes the estimate anew. Raises VisitRefused."""
    visit = locked(visit)
    kinds = {VisitWork(task.kind) for task in visit.tasks.all()}
    estimate = ThreePoints(0, 0, 0)
    if terms.minutes is None:
        estimate = _estimate(visit)
    _write_terms(visit, terms, kinds, estimate)
    visit.due_at = terms.due_at
    visit.value = visit.value if terms.value is None else terms.value
    insist_whole(visit)
    visit.save()
    visit.windows.all().delete()
    _write_windows(visit, terms.windows)
    journal.record(by, "visit changed", visit.site.code, now, visit=visit.code)
    return visit


@transaction.atomic
def pin(visit: Visit, person: Person | None, at: datetime | None, by: str, now: datetime) -> Visit:
    """Bind a visit to a person, a time, or both; neither frees it again. Raises VisitRefused."""
    visit = locked(visit)
    if at is not None and at <= now:
        raise VisitRefused(f"pinned_at: {at.isoformat()} has passed; pin it to a time to come.")
    if person is not None and not (person.is_active and sees_whole_book(person, now.date())):
        raise VisitRefused(
            f"pinned_to: {person} has left, or is no one of the firm; choose somebody of the firm."
        )
    visit.pinned_to, visit.pinned_at = person, at
    visit.save(update_fields=["pinned_to", "pinned_at"])
    what = "visit pinned" if person or at else "visit freed"
    journal.record(
        by,
        what,
        visit.site.code,
        now,
        visit=visit.code,
        to=str(person or ""),
        time=at.isoformat() if at else "",
    )
    return visit


@transaction.atomic
def waive(visit: Visit, rule: Rule, name: str, because: str, by: str, now: datetime) -> VisitWaiver:
    """Leave a rule of the home aside on a visit; `name` answers for it. Raises VisitRefused."""
    visit = locked(visit)
    return put_waiver(visit, rule, name, because, by, now)


def put_waiver(visit: Visit, rule: Rule, name: str, because: str, by: str, now: datetime) -> VisitWaiver:
    """The same inside another verb, for a visit that is held."""
    if rule not in WAIVABLE:
        raise VisitRefused(f"rule: {rule} cannot be waived; only {', '.join(sorted(WAIVABLE))} can.")
    name = insist_words("name", name, "write the name of the person who answers for it")
    because = insist_words("because", because)
    waiver, _ = VisitWaiver.objects.update_or_create(
        visit=visit,
        rule=rule.value,
        defaults={"name": name[:120], "because": because[:200], "at": now, "by": by[:120]},
    )
    journal.record(
        by, "visit rule waived", visit.site.code, now, visit=visit.code, rule=rule.value, name=name[:120]
    )
    return waiver


@transaction.atomic
def hold_again(visit: Visit, rule: Rule, by: str, now: datetime) -> None:
    """Take a waiver back: the rule holds again. Raises VisitRefused."""
    visit = locked(visit)
    if not visit.waivers.filter(rule=rule.value).delete()[0]:
        raise VisitRefused(f"rule: {rule} is not waived on {visit.code}.")
    journal.record(by, "visit rule holds again", visit.site.code, now, visit=visit.code, rule=rule.value)


@transaction.atomic
def foretell(site: Site, day: date, lowest_c: int, by: str, now: datetime) -> Forecast:
    """Write down the lowest temperature that is forecast at a home for a day of its calendar. Raises VisitRefused."""
    (site,) = _locked_sites([site.pk])
    row = Forecast.objects.filter(site=site, day=day).first() or Forecast(site=site, day=day)
    row.lowest_c, row.at, row.by = lowest_c, now, by[:120]
    insist_whole(row)
    row.save()
    journal.record(by, "forecast noted", site.code, now, day=day.isoformat(), lowest_c=lowest_c)
    return row


@transaction.atomic
def end(visit: Visit, state: VisitState, because: str, by: str, now: datetime) -> Visit:
    """Say that a visit was made, or drop it; its work is free for another visit. Raises VisitRefused.

    A visit that has its day in a plan in force is taken out of it when it is dropped; a visit made stays on record.
    """
    visit = locked(visit)
    if state is VisitState.WANTED:
        raise VisitRefused("state: a visit ends as done or dropped.")
    because = because.strip()
    if state is VisitState.DROPPED:
        because = insist_words("because", because)
    insist_no_secret("because", because)
    visit.state, visit.ended_at, visit.ended_by, visit.ended_because = state, now, by[:120], because[:200]
    visit.save(update_fields=["state", "ended_at", "ended_by", "ended_because"])
    visit.tasks.update(is_open=False)
    if state is VisitState.DROPPED:
        take_out(visit.stops.filter(in_force=True), by, now)
    journal.record(by, f"visit {state.value}", visit.site.code, now, visit=visit.code, because=because[:200])
    return visit


def locked(visit: Visit) -> Visit:
    """The row, held until the transaction ends, and then joined. Raises VisitRefused for one that has ended."""
    Visit.objects.select_for_update(of=("self",)).get(pk=visit.pk)
    held = Visit.objects.select_related("site__client", "pinned_to").get(pk=visit.pk)
    if held.state != VisitState.WANTED:
        raise VisitRefused(f"state: {held.code} is {held.get_state_display().lower()} already; want another.")
    return held


def _locked_sites(keys: Iterable[int]) -> list[Site]:
    """Held in one order: two who want the same work come one after the other."""
    held = Site.objects.select_for_update(of=("self",)).filter(pk__in=list(keys)).order_by("pk")
    found = list(held.values_list("pk", flat=True))
    return list(Site.objects.filter(pk__in=found).select_related("client").order_by("pk"))


def _estimate(visit: Visit) -> ThreePoints:
    found = estimate_of(visit)
    if found is None:
        raise VisitRefused("minutes: nothing estimates this work; write how long it takes.")
    return found


def _write_terms(visit: Visit, terms: Terms, kinds: set[VisitWork], estimate: ThreePoints) -> None:
    minutes = terms.minutes or estimate
    low, likely, high = (ceil(value - 1e-9) for value in (minutes.low, minutes.likely, minutes.high))
    if high > LONGEST_MINUTES and terms.minutes is None:
        high = LONGEST_MINUTES
        low, likely = min(low, high), min(likely, high)
    visit.minutes_low, visit.minutes_likely, visit.minutes_high = low, likely, high
    visit.minutes_by_hand = terms.minutes is not None
    visit.people = terms.people
    visit.licences, visit.skills = sorted(set(terms.licences)), sorted(set(terms.skills))
    visit.parts = _parts(terms.parts)
    visit.daylight = terms.daylight
    visit.not_before_weekend = terms.not_before_weekend or bool(kinds & TOUCHES_RADIO)


def _parts(parts: Mapping[str, int]) -> dict[str, int]:
    for family, count in parts.items():
        if not family.strip() or not 1 <= count <= MOST_PARTS:
            raise VisitRefused(
                f"parts: {count} of {family or 'no family'}; write 1 to {MOST_PARTS} of a family of radios."
            )
    return dict(sorted(parts.items()))


def _write_windows(visit: Visit, windows: Sequence[tuple[datetime, datetime]]) -> None:
    if len(windows) > MOST_WINDOWS:
        raise VisitRefused(f"windows: {len(windows)} are named; {MOST_WINDOWS} are the most.")
    for begin, end_ in windows:
        if end_ <= begin:
            raise VisitRefused(
                f"windows: {begin.isoformat()} to {end_.isoformat()} ends before it begins; turn it round."
            )
    VisitWindow.objects.bulk_create(
        VisitWindow(visit=visit, begins_at=begin, ends_at=end_) for begin, end_ in sorted(windows)
    )
