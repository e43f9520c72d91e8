"""Rows to what the month of the book says of work: drills, rounds, the tray, agreements, papers."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from itertools import pairwise

from django.db.models import Count, Exists, OuterRef, Q

from fleet.mesh.codes import with_check
from fleet.models import Drill, DrillKind, DrillResult, Mesh, Replacement, Round, RoundState, TrayItem
from fleet.planning.drills import failing_share_upper
from fleet.planning.rates import binomial_lower
from fleet.planning.spread import spread_of
from fleet.planning.standing import ENDING_SOON_DAYS
from fleet.queries.board import ROUND_IS_LATE_AFTER
from reports.facts import digest as facts
from reports.models import Sheet, SheetKind, Signature
from reports.queries.home import local_day, notice_by
from reports.queries.rounding import percent, tenths
from reports.queries.swaps import swap_of, swaps_moved
from sites.models import Agreement, Site

YEAR = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class Rehearsals:
    """Drills of the year before each of two moments, with what was promised to each home."""

    drills: tuple[Drill, ...]
    promises: Mapping[int, list[Agreement]]

    @classmethod
    def load(cls, start: datetime, end: datetime, promises: Mapping[int, list[Agreement]]) -> "Rehearsals":
        """One statement."""
        rows = Drill.objects.filter(done_at__gte=start - YEAR, done_at__lt=end).select_related("mesh__site")
        return cls(tuple(rows.order_by("done_at", "pk")), promises)

    def drill_figures(self, moment: datetime, month_start: datetime) -> facts.Drills:
        """How many passed, and what that allows to claim."""
        held = self._tried(moment)
        passes = sum(drill.result == DrillResult.PASSED for drill in held)
        none_failed = bool(held) and passes == len(held)
        return facts.Drills(
            trials=len(held),
            passes=passes,
            lower=percent(binomial_lower(passes, len(held))) if held else None,
            failing_at_most=percent(failing_share_upper(len(held))) if none_failed else None,
            paper=len(self._within(moment)) - len(held),
            in_month=sum(drill.done_at >= month_start for drill in held),
        )

    def times(self, moment: datetime) -> facts.Times:
        """Minutes of those that passed, against what was promised to that home on that day."""
        return times_of(
            [
                (drill.minutes, promised_minutes(self.promises, drill.mesh.site, drill.done_at))
                for drill in self._tried(moment)
                if drill.minutes is not None and drill.result == DrillResult.PASSED
            ]
        )

    def proven(self, moment: datetime, homes: Mapping[int, list[Mesh]]) -> int:
        """Homes of which every mesh passed a drill in the year."""
        passed = {drill.mesh_id for drill in self._tried(moment) if drill.result == DrillResult.PASSED}
        return sum(all(mesh.pk in passed for mesh in meshes) for meshes in homes.values())

    def _within(self, moment: datetime) -> list[Drill]:
        return [drill for drill in self.drills if moment - YEAR <= drill.done_at < moment]

    def _tried(self, moment: datetime) -> list[Drill]:
        return [drill for drill in self._within(moment) if drill.kind != DrillKind.PAPER]


@dataclass(frozen=True, slots=True)
class Replaced:
    """Replacements that moved in the year before either of two moments, with what was promised to each home."""

    rows: tuple[Replacement, ...]
    promises: Mapping[int, list[Agreement]]

    @classmethod
    def load(cls, start: datetime, end: datetime, promises: Mapping[int, list[Agreement]]) -> "Replaced":
        """Two statements."""
        return cls(tuple(swaps_moved(start - YEAR, end)), promises)

    def figures(self, moment: datetime) -> facts.Swaps:
        """Those accepted and those undone in the year before a moment."""
        swaps = [swap_of(row, moment) for row in self.rows]
        accepted = [swap for swap in swaps if _in_year(swap.accepted_at, moment)]
        timed = [
            (swap.minutes, promised_minutes(self.promises, swap.row.mesh.site, swap.row.asked_at))
            for swap in accepted
            if swap.minutes is not None
        ]
        undone = sum(_in_year(swap.undone_at, moment) for swap in swaps)
        return facts.Swaps(len(accepted), undone, times_of(timed))


def _in_year(at: datetime | None, moment: datetime) -> bool:
    return at is not None and moment - YEAR <= at < moment


def times_of(taken: Sequence[tuple[int, int | None]]) -> facts.Times:
    """Minutes, each with those promised where any were."""
    spread = spread_of([float(minutes) for minutes, _ in taken], 0.90)
    promised = [(minutes, limit) for minutes, limit in taken if limit is not None]
    return facts.Times(
        n=spread.n,
        median=tenths(spread.median),
        high=tenths(spread.high),
        promised=len(promised),
        kept=sum(minutes <= limit for minutes, limit in promised),
    )


def promised_minutes(promises: Mapping[int, list[Agreement]], site: Site, moment: datetime) -> int | None:
    """The recovery time promised to a home on the day of a moment."""
    day = local_day(moment, site)
    for agreement in promises.get(site.pk, ()):
        if agreement.starts_on <= day and (agreement.ends_on is None or day <= agreement.ends_on):
            return agreement.recovery_time_minutes
    return None


def agreements() -> dict[int, list[Agreement]]:
    """Every agreement by home, the newest first. One statement."""
    found: dict[int, list[Agreement]] = defaultdict(list)
    rows = Agreement.objects.filter(site__client__erased_at=None).select_related("site__client")
    for row in rows.order_by("site", "-starts_on", "-pk"):
        found[row.site_id].append(row)
    return found


def ending(promises: Mapping[int, list[Agreement]], last: date) -> tuple[facts.Ending, ...]:
    """Agreements that end within 90 days of the month's last day, and none goes on after them; soonest first."""
    found = []
    for mine in promises.values():
        newest = max(mine, key=lambda each: each.ends_on or date.max)
        if newest.ends_on is not None and last < newest.ends_on <= last + timedelta(days=ENDING_SOON_DAYS):
            found.append(newest)
    found.sort(key=lambda each: (each.ends_on, each.site.code))
    return tuple(_ending(each) for each in found)


def _ending(agreement: Agreement) -> facts.Ending:
    assert agreement.ends_on is not None
    return facts.Ending(
        with_check(agreement.site.code),
        agreement.site.client.name,
        agreement.ends_on,
        notice_by(agreement),
    )


@dataclass(frozen=True, slots=True)
class RoundsOfMonth:
    """The rounds that began in the month, and the last one before it."""

    rounds: tuple[tuple[datetime, str, bool], ...]
    before: datetime | None
    start: datetime
    end: datetime

    @classmethod
    def load(cls, start: datetime, end: datetime) -> "RoundsOfMonth":
        """Two statements."""
        began = Round.objects.filter(started_at__gte=start, started_at__lt=end).order_by("started_at", "pk")
        rows = tuple(
            (at, state, bool(wrong))
            for at, state, wrong in began.values_list("started_at", "state", "errors")
        )
        earlier = Round.objects.filter(started_at__lt=start).order_by("-started_at")
        return cls(rows, earlier.values_list("started_at", flat=True).first(), start, end)

    def looked_on(self, zone: tzinfo) -> frozenset[date]:
        """Days on which a round went through the book."""
        return frozenset(
            at.astimezone(zone).date() for at, state, _ in self.rounds if state == RoundState.DONE
        )

    def figures(self) -> facts.Rounds:
        """How many ran, broke off, met errors; waits for the next that were longer than three hours."""
        moments = [at for at, _, _ in self.rounds]
        # Before its first round ever a book is not late.
        course = [
            *([self.start] if self.before else []),
            *moments,
            *([self.end] if moments or self.before else []),
        ]
        waits = [later - earlier for earlier, later in pairwise(course)]
        longest = max(waits, default=None)
        return facts.Rounds(
            ran=len(self.rounds),
            broken=sum(state == RoundState.BROKEN for _, state, _ in self.rounds),
            with_errors=sum(wrong for _, _, wrong in self.rounds),
            late=sum(wait > ROUND_IS_LATE_AFTER for wait in waits),
            longest=tenths(longest.total_seconds() / 3600) if longest is not None else None,
        )


@dataclass(frozen=True, slots=True)
class Tray:
    """Documents that waited at either end of the month."""

    items: tuple[tuple[str, datetime, datetime | None], ...]

    @classmethod
    def load(cls, start: datetime, end: datetime) -> "Tray":
        """One statement."""
        waits = TrayItem.objects.filter(received_at__lt=end).filter(
            Q(cleared_at=None) | Q(cleared_at__gte=start)
        )
        rows = waits.order_by("received_at", "pk").values_list("reason", "received_at", "cleared_at")
        return cls(tuple(rows))

    def at(self, moment: datetime) -> list[tuple[str, datetime]]:
        """Reason and arrival of what waited then."""
        return [
            (reason, came)
            for reason, came, cleared in self.items
            if came < moment and (cleared is None or cleared >= moment)
        ]

    def by_reason(self, moment: datetime, zone: tzinfo) -> tuple[facts.Waiting, ...]:
        """The same counted, most first."""
        found: dict[str, list[datetime]] = defaultdict(list)
        for reason, came in self.at(moment):
            found[reason].append(came)
        ordered = sorted(found, key=lambda reason: (-len(found[reason]), reason))
        return tuple(
            facts.Waiting(reason, len(found[reason]), min(found[reason]).astimezone(zone).date())
            for reason in ordered
        )


def papers() -> facts.Papers:
    """Hand-over sheets in force. One statement."""
    signed = Exists(Signature.objects.filter(sheet=OuterRef("pk")))
    in_force = Sheet.objects.filter(kind=SheetKind.HANDOVER, replaced_by=None, site__client__erased_at=None)
    counts = in_force.annotate(signed=signed).aggregate(
        handovers=Count("pk"),
        stale=Count("pk", filter=Q(stale_since__isnull=False)),
        unsigned=Count("pk", filter=Q(signed=False)),
    )
    return facts.Papers(**counts)
