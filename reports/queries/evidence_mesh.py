"""Rows to what an evidence pack shows of each mesh of a home."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from fleet.mesh.codes import with_check
from fleet.models import (
    JUDGED_GRADES,
    CounterEvidence,
    Drill,
    EvidenceKind,
    Grade,
    Mesh,
    ReadinessChange,
    Round,
    RoundState,
    ServicePeriod,
    Snapshot,
)
from fleet.planning.copy_gaps import days_without, gaps_in
from fleet.planning.readiness import State
from fleet.planning.state_days import Turn, course, days_in, days_of
from reports.facts import evidence as facts
from reports.facts.evidence_lacks import Span
from reports.facts.snapshots import CalendarDay, DayMark
from reports.queries.swaps import Swap, swap_of, swaps_moved
from sites.models import Agreement, Site

GAPS_SHOWN = 12
LEFT = (EvidenceKind.RESTORE, EvidenceKind.DRILL)


class Copy(NamedTuple):
    """One copy, on its day at the home."""

    day: date
    grade: str
    key: tuple[int, str]
    gone: bool

    @property
    def sound(self) -> bool:
        return self.grade in JUDGED_GRADES


@dataclass(frozen=True, slots=True)
class Period:
    """A stretch of days at a home."""

    first: date
    last: date
    zone: ZoneInfo

    def day(self, moment: datetime) -> date:
        """The day there."""
        return moment.astimezone(self.zone).date()

    def spanned(self, since: datetime, until: datetime | None) -> Span:
        """The days from one moment to another."""
        return self.day(since), self.day(until) if until else self.last


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of all meshes of one home in a stretch of time, by mesh. Ten statements, at most."""

    meshes: list[Mesh]
    service: Mapping[int, list[ServicePeriod]]
    copies: Mapping[int, list[Copy]]
    drills: Mapping[int, list[Drill]]
    swaps: Mapping[int, list[Swap]]
    given: Mapping[int, list[CounterEvidence]]
    turns: Mapping[int, list[Turn]]
    looked_on: frozenset[date]

    @classmethod
    def load(cls, site: Site, period: Period, start: datetime, end: datetime) -> "Rows":
        """What lies from start to end, and all changes of readiness up to end."""
        home = {"mesh__site": site}
        service = ServicePeriod.objects.filter(since__lt=end, **home).exclude(until__lte=start)
        drills = Drill.objects.filter(done_at__gte=start, done_at__lt=end, **home)
        given = CounterEvidence.objects.filter(at__gte=start, at__lt=end, kind__in=LEFT, **home)
        changes = ReadinessChange.objects.filter(at__lt=end, **home).order_by("at", "pk")
        turns: dict[int, list[Turn]] = defaultdict(list)
        for mesh, at, became in changes.values_list("mesh", "at", "became"):
            turns[mesh].append(Turn(at, State(became)))
        rounds = Round.objects.filter(state=RoundState.DONE, started_at__gte=start, started_at__lt=end)
        return cls(
            meshes=list(site.meshes.order_by("code")),
            service=by_mesh(
                service.select_related("radio__model", "radio__firmware").order_by("since", "pk")
            ),
            copies=_copies(home, period, start, end),
            drills=by_mesh(drills.select_related("source_release", "radio").order_by("done_at", "pk")),
            swaps=_swaps(site, start, end),
            given=by_mesh(given.order_by("at", "pk")),
            turns=turns,
            looked_on=frozenset(map(period.day, rounds.order_by().values_list("started_at", flat=True))),
        )

    def served(self, period: Period) -> dict[str, list[Span]]:
        """By the code of each mesh, the days on which a radio was in service."""
        return {
            with_check(mesh.code): [
                period.spanned(each.since, each.until) for each in self.service.get(mesh.pk, ())
            ]
            for mesh in self.meshes
        }


def by_mesh(rows: Iterable[Any]) -> dict[int, list[Any]]:
    """Rows under the number of their mesh, in their order."""
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        found[row.mesh_id].append(row)
    return found


def _copies(home: dict[str, Site], period: Period, start: datetime, end: datetime) -> dict[int, list[Copy]]:
    rows = Snapshot.objects.filter(taken_at__gte=start, taken_at__lt=end, **home).order_by("taken_at", "pk")
    found: dict[int, list[Copy]] = defaultdict(list)
    wanted = ("mesh", "taken_at", "grade", "key_sequence", "key_mark", "gone_at")
    for mesh, taken_at, grade, sequence, mark, gone_at in rows.values_list(*wanted):
        found[mesh].append(Copy(period.day(taken_at), grade, (sequence, mark), gone_at is not None))
    return found


def mesh_evidence(
    mesh: Mesh, rows: Rows, period: Period, promises: Sequence[Agreement]
) -> facts.MeshEvidence:
    """All that the rows show of one mesh."""
    copies = rows.copies.get(mesh.pk, [])
    drills = rows.drills.get(mesh.pk, [])
    sound_days = {copy.day for copy in copies if copy.sound}
    gaps = [
        facts.Gap(gap.first, gap.last, _over(gap.days, promise_on(promises, gap.first)))
        for gap in gaps_in(sound_days, period.first, period.last)
    ]
    longest = sorted(gaps, key=lambda gap: (-gap.days, gap.first))[:GAPS_SHOWN]
    states = course(rows.turns.get(mesh.pk, ()), period.first, period.last, period.zone, rows.looked_on)
    return facts.MeshEvidence(
        code=with_check(mesh.code),
        purpose=mesh.name or None,
        safety=mesh.safety_relevant,
        service=tuple(_service(each, period) for each in rows.service.get(mesh.pk, ())),
        months=tuple(_months(copies, sound_days, period)),
        gaps=tuple(sorted(longest, key=lambda gap: gap.first)),
        gaps_left_out=len(gaps) - len(longest),
        days=_calendar(copies, period) if copies else (),
        drills=tuple(_drill(each, period, promises) for each in drills),
        swaps=tuple(_swapped(each, period, promises) for each in rows.swaps.get(mesh.pk, ())),
        given_out=tuple(
            facts.GivenOut(each.at.astimezone(period.zone), each.kind, each.by or None)
            for each in rows.given.get(mesh.pk, ())
        ),
        builds=_builds(drills, period),
        epochs=_epochs(copies),
        states=_in_states(states),
        course=tuple(facts.DayState(day, state.value if state else None) for day, state in states.items()),
    )


def promise_on(promises: Sequence[Agreement], day: date) -> Agreement | None:
    """The agreement in force on a day; of two the one that began last."""
    for each in reversed(promises):
        if each.starts_on <= day and (each.ends_on is None or day <= each.ends_on):
            return each
    return None


def _over(days: int, promise: Agreement | None) -> bool | None:
    return None if promise is None else days * 24 > promise.recovery_point_hours


def _service(row: ServicePeriod, period: Period) -> facts.InService:
    radio = row.radio
    return facts.InService(
        model=str(radio.model),
        serial=radio.serial,
        address=row.head_address,
        firmware=radio.firmware.version if radio.firmware else None,
        since=row.since.astimezone(period.zone),
        until=row.until.astimezone(period.zone) if row.until else None,
        why_ended=row.why_ended or None,
    )


def _months(copies: Sequence[Copy], sound_days: set[date], period: Period) -> Iterable[facts.MonthOfCopies]:
    first = period.first
    while first <= period.last:
        following = (first.replace(day=1) + timedelta(days=32)).replace(day=1)
        last = min(period.last, following - timedelta(days=1))
        taken = [copy for copy in copies if first <= copy.day <= last]
        grades = Counter(copy.grade for copy in taken)
        yield facts.MonthOfCopies(
            month=first.replace(day=1),
            days=(last - first).days + 1,
            days_without=days_without(sound_days, first, last),
            proven=grades[Grade.PROVEN],
            seen_live=grades[Grade.SEEN_LIVE],
            sound=grades[Grade.SOUND],
            not_sound=grades[Grade.LANDED] + grades[Grade.HELD],
            erased_since=sum(copy.gone for copy in taken),
        )
        first = following


def _calendar(copies: Sequence[Copy], period: Period) -> tuple[CalendarDay, ...]:
    order = list(DayMark)
    best: dict[date, DayMark] = {}
    for copy in copies:
        mark = _mark(copy.grade)
        if order.index(mark) > order.index(best.get(copy.day, DayMark.NONE)):
            best[copy.day] = mark
    return tuple(CalendarDay(day, best.get(day, DayMark.NONE)) for day in days_of(period.first, period.last))


def _mark(grade: str) -> DayMark:
    if grade == Grade.PROVEN:
        return DayMark.PROVEN
    return DayMark.SOUND if grade in JUDGED_GRADES else DayMark.LANDED


def _drill(row: Drill, period: Period, promises: Sequence[Agreement]) -> facts.Rehearsed:
    promise = promise_on(promises, period.day(row.done_at))
    return facts.Rehearsed(
        at=row.done_at.astimezone(period.zone),
        kind=row.kind,
        passed=row.result == "passed",
        minutes=row.minutes,
        kept=row.minutes <= promise.recovery_time_minutes if promise and row.minutes is not None else None,
        by=row.by or None,
        build=row.source_release.version if row.source_release else None,
        spare=row.radio.serial if row.radio else None,
    )


def _swaps(site: Site, start: datetime, end: datetime) -> dict[int, list[Swap]]:
    found: dict[int, list[Swap]] = defaultdict(list)
    for row in swaps_moved(start, end).filter(mesh__site=site):
        found[row.mesh_id].append(swap_of(row, end))
    return found


def _swapped(swap: Swap, period: Period, promises: Sequence[Agreement]) -> facts.Swapped:
    row = swap.row
    promise = promise_on(promises, period.day(row.asked_at))
    kept = swap.minutes <= promise.recovery_time_minutes if promise and swap.minutes is not None else None
    return facts.Swapped(
        asked_at=row.asked_at.astimezone(period.zone),
        why=row.why,
        old=row.old_radio.serial if row.old_radio else None,
        new=row.new_radio.serial if row.new_radio else None,
        state=swap.state.value,
        accepted_at=swap.accepted_at.astimezone(period.zone) if swap.accepted_at else None,
        minutes=swap.minutes,
        kept=kept,
    )


def _builds(drills: Sequence[Drill], period: Period) -> tuple[facts.BuildSeen, ...]:
    days: dict[str, list[date]] = {}
    for drill in drills:
        if drill.source_release:
            days.setdefault(drill.source_release.version, []).append(period.day(drill.done_at))
    return tuple(facts.BuildSeen(version, min(seen), max(seen)) for version, seen in days.items())


def _epochs(copies: Sequence[Copy]) -> tuple[facts.KeyEpoch, ...]:
    """By the first copy under each key. A copy that is not sound proves no key."""
    days: dict[tuple[int, str], list[date]] = {}
    for copy in copies:
        if copy.sound:
            days.setdefault(copy.key, []).append(copy.day)
    return tuple(facts.KeyEpoch(min(seen), max(seen)) for seen in days.values())


def _in_states(states: Mapping[date, State | None]) -> tuple[facts.DaysInState, ...]:
    counts = days_in(states)
    known = sorted((state for state in counts if state is not None), key=lambda state: -state.severity)
    ordered = [*known, *([None] if None in counts else [])]
    return tuple(facts.DaysInState(state.value if state else None, counts[state]) for state in ordered)
