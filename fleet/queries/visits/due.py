"""Work that is due at homes and not on any visit yet, joined into the fewest visits for each home (trade row P10)."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import OuterRef, Q, QuerySet, Subquery

from fleet.models import (
    Drill,
    FirmwarePolicy,
    FirmwareRelease,
    Mesh,
    Replacement,
    ServicePeriod,
    VisitTask,
    VisitWork,
)
from fleet.planning.drills import DrillFacts, DrillKind, DrillState, agreed_interval, judge_drills
from fleet.planning.estimating import ThreePoints
from fleet.planning.reach import Position
from fleet.planning.replacing.states import State
from fleet.planning.visits.joining import Task, join_tasks
from fleet.planning.visits.request import Visit as Stop
from fleet.planning.visits.span import Span
from fleet.queries import updates
from fleet.queries.facts import position_at
from fleet.queries.replacing.preflight import FIRST_HOUR, LAST_HOUR
from fleet.queries.visits.work import (
    KINDS,
    DeviceCounts,
    device_counts,
    due_of_swap,
    value_of,
    walk_of,
    work_minutes,
)
from sites.models import Agreement, Site

AHEAD = timedelta(days=14)
"""Work that is due by then goes on one trip."""
TO_BE_PLANNED = (State.ASKED.value, State.AGREED.value, State.PACKED.value)
DRILL_IS_DUE = (DrillState.NEVER, DrillState.DUE, DrillState.OVERDUE, DrillState.FAILED)
NOWHERE = Position(0, 0)
"""Joining asks for no way; a home without a position can be wanted, and is told of when a plan is made."""


@dataclass(frozen=True, slots=True)
class DueWork:
    """One thing that is due: on which mesh, by which replacement, since when it may be done and by when it should be.

    due_at is None where nothing was promised. because is one sentence.
    """

    kind: VisitWork
    mesh: Mesh
    because: str
    replacement: Replacement | None = None
    due_at: datetime | None = None

    @property
    def key(self) -> str:
        """What names it in a form or on the terminal: swap:KELP-7-A."""
        return f"{self.kind.value}:{self.mesh.code}"


@dataclass(frozen=True, slots=True)
class DueVisit:
    """What goes on one trip to one home, and the minutes of all of it with one walk."""

    site: Site
    work: tuple[DueWork, ...]
    minutes: ThreePoints
    due_at: datetime | None
    value: int

    @property
    def keys(self) -> str:
        """The names of its work, with blanks between them."""
        return " ".join(each.key for each in self.work)


def due_visits(now: datetime, sites: QuerySet[Site] | None = None) -> list[DueVisit]:
    """The trips that are due, the earliest first; homes of all the book, or of some. A fixed number of statements."""
    return joined(due_work(now, sites), now)


def joined(work: Iterable[DueWork], now: datetime) -> list[DueVisit]:
    """The fewest trips for this work, the earliest due first. One statement."""
    by_key = {each.key: each for each in work}
    counts = device_counts(each.mesh.pk for each in by_key.values())
    stops = join_tasks(_task(each, counts.get(each.mesh.pk, DeviceCounts()), now) for each in by_key.values())
    found = [_due_visit(stop, by_key) for stop in stops]
    far = datetime.max.replace(tzinfo=now.tzinfo)
    return sorted(found, key=lambda visit: (visit.due_at or far, -visit.value, visit.site.code))


def due_work(now: datetime, sites: QuerySet[Site] | None = None) -> list[DueWork]:
    """Open replacements, drills by the agreed interval, and firmware updates, each not on a visit yet."""
    meshes = Mesh.objects.filter(in_care=True, site__client__erased_at=None)
    if sites is not None:
        meshes = meshes.filter(site__in=sites)
    agreements = agreements_on(now.date(), sites)
    taken = set(VisitTask.objects.filter(is_open=True, mesh__isnull=False).values_list("mesh", "kind"))
    swaps = list(
        Replacement.objects.under_way()
        .filter(mesh__in=meshes)
        .select_related("mesh__site__client", "new_radio")
    )
    under_way = {swap.mesh_id for swap in swaps}
    found = [
        DueWork(VisitWork.SWAP, swap.mesh, f"A replacement is {swap.stands.words}.", swap, due)
        for swap in swaps
        if swap.state in TO_BE_PLANNED and (swap.mesh_id, VisitWork.SWAP.value) not in taken
        for due in [due_of_swap(swap, agreements.get(swap.mesh.site_id))]
    ]
    # A swap counts as a live drill and brings its own firmware.
    others = meshes.exclude(pk__in=under_way).select_related("site__client")
    found += _updates(others, taken, now)
    found += _drills(others, agreements, taken, now)
    return found


def agreements_on(day: date, sites: QuerySet[Site] | None = None) -> dict[int, Agreement]:
    """The agreement in force that day by the home's key; the one that began last where two overlap. One statement."""
    held = Agreement.objects.filter(starts_on__lte=day).filter(Q(ends_on=None) | Q(ends_on__gte=day))
    if sites is not None:
        held = held.filter(site__in=sites)
    return {agreement.site_id: agreement for agreement in held.order_by("starts_on", "pk")}


def _updates(meshes: QuerySet[Mesh], taken: set[tuple[int, str]], now: datetime) -> list[DueWork]:
    """Heads whose turn it is in a passage of a build, and those on a barred build where another is allowed."""
    because = {
        each.mesh.pk: f"{each.radio.code} goes from {each.source.version} to {each.target.version}."
        for each in updates.due(now.date())
        if each.mesh is not None
    }
    allowed = set(
        FirmwareRelease.objects.filter(
            policy__in=(FirmwarePolicy.ALLOWED, FirmwarePolicy.PREFERRED)
        ).values_list("model", flat=True)
    )
    barred = ServicePeriod.objects.filter(
        until=None, mesh__in=meshes, radio__firmware__policy=FirmwarePolicy.BARRED
    ).select_related("radio__firmware")
    for period in barred:
        if period.radio.model_id in allowed:
            told = f"{period.radio.code} runs {period.radio.firmware.version}, which the firm bars."
            because.setdefault(period.mesh_id, told)
    return [
        DueWork(VisitWork.UPDATE, mesh, because[mesh.pk])
        for mesh in meshes.filter(pk__in=list(because)).order_by("code")
        if (mesh.pk, VisitWork.UPDATE.value) not in taken
    ]


def _drills(
    meshes: QuerySet[Mesh], agreements: dict[int, Agreement], taken: set[tuple[int, str]], now: datetime
) -> list[DueWork]:
    last = (
        Drill.objects.filter(mesh=OuterRef("pk"), done_at__lte=now, own_pair_only=False)
        .exclude(kind=DrillKind.PAPER.value)
        .order_by("-done_at", "-pk")
    )
    rows = meshes.filter(site__in=list(agreements)).annotate(
        drilled_at=Subquery(last.values("done_at")[:1]),
        drill_kind=Subquery(last.values("kind")[:1]),
        drill_result=Subquery(last.values("result")[:1]),
    )
    found = []
    for mesh in rows:
        if (mesh.pk, VisitWork.DRILL.value) in taken:
            continue
        agreement = agreements[mesh.site_id]
        held = (
            [DrillFacts(DrillKind(mesh.drill_kind), mesh.drilled_at, mesh.drill_result == "passed")]
            if mesh.drilled_at
            else []
        )
        days = agreed_interval(agreement.drill_interval_days, mesh.safety_relevant)
        standing = judge_drills(held, days, now)
        if standing.state in DRILL_IS_DUE:
            due = standing.due_at or max(now, _first_drill_by(agreement, days, mesh))
            found.append(DueWork(VisitWork.DRILL, mesh, standing.because, due_at=due))
    return found


def _first_drill_by(agreement: Agreement, interval_days: int, mesh: Mesh) -> datetime:
    """Where none was ever held, an interval after the agreement began; where that has passed, it is due now."""
    day = agreement.starts_on + timedelta(days=interval_days)
    return datetime.combine(day, time(0), ZoneInfo(mesh.site.time_zone))


def usual_windows(site: Site, first: date, last: date) -> tuple[Span, ...]:
    """The hours in which work at a home begins and ends, on each day of its own clock from first to last."""
    zone = ZoneInfo(site.time_zone)
    days = ((first + timedelta(days=ahead)) for ahead in range((last - first).days + 1))
    return tuple(
        Span(datetime.combine(day, FIRST_HOUR, zone), datetime.combine(day, LAST_HOUR, zone)) for day in days
    )


def _task(work: DueWork, counts: DeviceCounts, now: datetime) -> Task:
    """As joining takes it. What is late already may go with whatever is done within the days looked at."""
    site, until = work.mesh.site, now + AHEAD
    zone = ZoneInfo(site.time_zone)
    today = now.astimezone(zone).date()
    stop = Stop(
        work.key,
        site.code,
        position_at(site) or NOWHERE,
        zone,
        usual_windows(site, today, today + AHEAD),
        work_minutes(work.kind, counts),
        value=value_of(work.kind, work.replacement),
    )
    due = work.due_at if work.due_at is not None and now < work.due_at < until else until
    return Task(KINDS[work.kind], stop, walk_of(work.kind, counts), now, due)


def _due_visit(stop: Stop, by_key: dict[str, DueWork]) -> DueVisit:
    work = tuple(by_key[key] for key in stop.tasks)
    dues = [each.due_at for each in work if each.due_at is not None]
    return DueVisit(
        work[0].mesh.site, work, stop.minutes, min(dues, default=None), min(100, round(stop.value))
    )
