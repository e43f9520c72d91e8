"""What a plan is asked for, from the rows: the `Request` that decisions take (planning.visits.request)."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from fleet.models import (
    Forecast,
    Node,
    PlaceKind,
    PlanStop,
    Radio,
    Replacement,
    Visit,
    VisitPlan,
    VisitState,
    VisitTask,
    VisitWork,
)
from fleet.planning.estimating import ThreePoints
from fleet.planning.replacing.states import ENDED
from fleet.planning.visits.request import Conditions, Request, RestRules, Rule, Technician
from fleet.planning.visits.request import Visit as Stop
from fleet.planning.visits.span import Span
from fleet.queries.blank import is_blank, with_proof
from fleet.queries.facts import position_at
from fleet.queries.replacing.preflight import FROST_C
from fleet.queries.spares import STANDING_BY
from fleet.queries.travel import travel_of_firm
from fleet.queries.visits.due import TO_BE_PLANNED, usual_windows
from fleet.queries.visits.work import TOUCHES_RADIO
from sites.access import WHOLE_BOOK
from sites.models import Licence, Person
from sites.queries import WorkingFacts, working_facts

NEAR = ("site__client", "pinned_to")
ROWS = (
    "windows",
    "waivers",
    "tasks__mesh",
    "tasks__replacement__mesh",
    "tasks__replacement__new_radio__model",
    "tasks__replacement__new_radio__place",
    "tasks__replacement__old_radio__model",
)


@dataclass(frozen=True, slots=True)
class Cannot:
    """Somebody or some visit that a plan cannot take, and one sentence why."""

    subject: str
    because: str


@dataclass(frozen=True, slots=True)
class Asked:
    """The request with the rows it came from, by the codes that it uses; and who and what is no part of it."""

    request: Request
    people: Mapping[str, Person]
    visits: Mapping[str, Visit]
    zones: Mapping[str, ZoneInfo]
    absent: tuple[Cannot, ...]
    unplaced: tuple[tuple[Visit, str], ...]


def people_to_plan() -> QuerySet[Person]:
    """Who can be sent: people of the firm. A partner arranges the visits to their own homes themselves."""
    return Person.objects.filter(is_active=True, role__in=WHOLE_BOOK).order_by("first_name", "username")


def wanted() -> QuerySet[Visit]:
    """Visits that are wanted, with all that a request asks of them."""
    return whole(Visit.objects.filter(state=VisitState.WANTED, site__client__erased_at=None))


def whole(visits: QuerySet[Visit]) -> QuerySet[Visit]:
    """The same visits with all that a request asks of them."""
    return visits.select_related(*NEAR).prefetch_related(*ROWS)


def eligible(people: Iterable[Person], days: tuple[date, date]) -> QuerySet[Visit]:
    """Visits that a plan of these people and days is about, the earliest due and the most worth first.

    A visit that has its day in a plan in force elsewhere stays there; so does one whose swap is under way already.
    """
    held = PlanStop.objects.filter(in_force=True, visit=OuterRef("pk"))
    inside = held.filter(day__technician__in=list(people), day__day__gte=days[0], day__day__lte=days[1])
    begun = VisitTask.objects.filter(visit=OuterRef("pk"), replacement__isnull=False).exclude(
        replacement__state__in=TO_BE_PLANNED
    )
    return (
        wanted()
        .filter(Exists(inside) | ~Exists(held))
        .filter(~Exists(begun))
        .order_by(F("due_at").asc(nulls_last=True), "-value", "pk")
    )


def asked_of(plan: VisitPlan) -> Asked:
    """The request of a plan, from the rows as they stand. A fixed number of statements.

    Nothing begins before the plan was asked for. A visit that was dropped meanwhile is no part of it, nor one that was
    done, but by a stop of this very plan.
    """
    done_by_it = Q(state=VisitState.DONE, stops__day__plan=plan)
    visits = plan.visits.filter(Q(state=VisitState.WANTED) | done_by_it).distinct()
    return asked(
        list(plan.people.all()),
        list(whole(visits)),
        (plan.first_day, plan.last_day),
        plan.asked_at,
    )


def asked(people: Iterable[Person], visits: list[Visit], days: tuple[date, date], since: datetime) -> Asked:
    """The request for these people and visits on these days, none of it before a moment."""
    facts = working_facts(people, *days)
    vans = van_stocks(facts)
    technicians, absent = [], []
    for pk, each in facts.items():
        spans = _from(each.days, since)
        if each.base is None:
            absent.append(Cannot(each.person.username, f"{each.person}: no base is written down."))
        elif not spans:
            absent.append(Cannot(each.person.username, f"{each.person}: no working hours on these days."))
        else:
            technicians.append(_technician(each, spans, vans.get(pk, Counter())))
    placed = [visit for visit in visits if position_at(visit.site) is not None]
    stops = _stops(placed, days)
    return Asked(
        Request(tuple(technicians), tuple(stops), travel_of_firm()),
        {each.person.username: each.person for each in facts.values()},
        {visit.code: visit for visit in placed},
        {each.person.username: each.zone for each in facts.values()},
        tuple(absent),
        tuple(
            (visit, f"{visit.site.code} has no position in the book, so no way can be reckoned.")
            for visit in visits
            if position_at(visit.site) is None
        ),
    )


def van_stocks(people: Iterable[int]) -> dict[int, Counter[str]]:
    """What lies in each person's vans by family, and each radio that is meant for a swap by itself. One statement.

    Only what counts as a spare: proven blank, and on firmware that the firm does not bar.
    """
    rows = (
        with_proof(Radio.objects.filter(state__in=STANDING_BY, place__kind=PlaceKind.VAN))
        .filter(place__holder__in=list(people))
        .select_related("model", "firmware", "place")
    )
    meant = set(Replacement.objects.under_way().exclude(new_radio=None).values_list("new_radio", flat=True))
    found: dict[int, Counter[str]] = {}
    for radio in rows:
        barred = radio.firmware is None or radio.firmware.policy == "barred"
        if radio.pk in meant:
            found.setdefault(radio.place.holder_id, Counter())[one_radio(radio)] += 1
        elif is_blank(radio) and not barred:
            found.setdefault(radio.place.holder_id, Counter())[radio.model.family] += 1
    return found


def one_radio(radio: Radio) -> str:
    """How a part is called that is one radio and no other."""
    return f"{radio.model.family}, radio {radio.code}"


def _from(spans: Iterable[Span], since: datetime) -> tuple[Span, ...]:
    return tuple(Span(max(span.begin, since), span.end) for span in spans if span.end > since)


def _technician(facts: WorkingFacts, spans: tuple[Span, ...], parts: Mapping[str, int]) -> Technician:
    return Technician(
        facts.person.username,
        facts.base,
        spans,
        facts.licences,
        facts.skills,
        dict(parts),
        RestRules(),
        str(facts.person),
    )


def _stops(visits: list[Visit], days: tuple[date, date]) -> list[Stop]:
    sites = {visit.site_id for visit in visits}
    low: dict[int, dict[date, float]] = {}
    for row in Forecast.objects.filter(
        site__in=sites, day__gte=days[0], day__lte=days[1] + timedelta(days=2)
    ):
        low.setdefault(row.site_id, {})[row.day] = float(row.lowest_c)
    heated = set(
        Node.objects.filter(mesh__site__in=sites, gone_since=None, safety_kind="heat").values_list(
            "mesh__site", flat=True
        )
    )
    before = _who_was_there(sites)
    return [
        _stop(visit, days, low.get(visit.site_id, {}), visit.site_id in heated, before.get(visit.site_id))
        for visit in visits
    ]


def _stop(
    visit: Visit, days: tuple[date, date], low: Mapping[date, float], heated: bool, before: str | None
) -> Stop:
    site, tasks = visit.site, list(visit.tasks.all())
    swaps = [task.replacement for task in tasks if task.replacement is not None]
    named = tuple(Span(row.begins_at, row.ends_at) for row in visit.windows.all())
    due = visit.due_at
    return Stop(
        visit.code,
        site.code,
        position_at(site),
        ZoneInfo(site.time_zone),
        named or usual_windows(site, *days),
        ThreePoints(visit.minutes_low, visit.minutes_likely, visit.minutes_high),
        frozenset(visit.licences) | {Licence.MAINS for swap in swaps if swap.needs_licence},
        frozenset(visit.skills),
        dict(Counter(visit.parts) + parts_of(swaps)),
        people=people_of(visit, tasks),
        due=due,
        value=float(visit.value),
        conditions=_conditions(visit, tasks, low, heated),
        before=before,
        pinned_to=visit.pinned_to.username if visit.pinned_to else None,
        pinned_at=visit.pinned_at,
        tasks=tuple(str(task) for task in tasks),
    )


def people_of(visit: Visit, tasks: Iterable[VisitTask]) -> int:
    """Two where anybody asked for two, or a swap is done where somebody must not be left alone with it."""
    swaps = [task.replacement for task in tasks if task.replacement is not None]
    two = any(swap.needs_two for swap in swaps) or (bool(swaps) and visit.site.vulnerable_person)
    return 2 if two else visit.people


def parts_of(swaps: Iterable[Replacement]) -> Counter[str]:
    """What must be on the van for swaps: the radio that was chosen, else one of the old one's family.

    A spare that lies in the home itself need not be brought.
    """
    found: Counter[str] = Counter()
    for swap in swaps:
        radio = swap.new_radio
        if radio is None:
            found.update([swap.old_radio.model.family] if swap.old_radio else [])
        elif radio.place is None or radio.place.site_id != swap.mesh.site_id:
            found[one_radio(radio)] += 1
    return found


def frost_limit(visit: Visit, tasks: Iterable[VisitTask], heated: bool) -> float | None:
    """Below which forecast the home's own radio is not touched: where the mesh heats it, or the home names a limit."""
    if not any(VisitWork(task.kind) in TOUCHES_RADIO for task in tasks):
        return None
    limit = visit.site.frost_limit_c
    return float(limit) if limit is not None else float(FROST_C) if heated else None


def _conditions(visit: Visit, tasks: list[VisitTask], low: Mapping[date, float], heated: bool) -> Conditions:
    touches = any(VisitWork(task.kind) in TOUCHES_RADIO for task in tasks)
    return Conditions(
        visit.not_before_weekend or touches,
        visit.site.country,
        frost_limit(visit, tasks, heated),
        dict(low),
        visit.daylight,
        {Rule(row.rule): row.name for row in visit.waivers.all()},
    )


def _who_was_there(sites: Iterable[int]) -> dict[int, str]:
    """Who led the newest swap that came to an end in each of these homes. One statement."""
    over = Replacement.objects.filter(
        Q(state__in=[state.value for state in ENDED]) | Q(first_word_at__isnull=False),
        mesh__site__in=sites,
        technician__isnull=False,
    )
    rows = over.order_by("moved_at").values_list("mesh__site", "technician__username")
    return dict(rows)
