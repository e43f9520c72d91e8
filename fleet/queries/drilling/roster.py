"""The roster: which homes were rehearsed in time, what was drawn and waits, what may be claimed, and what is amiss."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.db.models import F, Q, QuerySet

from fleet.models import Drill, DrillDraw, Mesh, RadioState, Rehearsal
from fleet.planning.drilling.claim import Claim, claim_of
from fleet.planning.drilling.lots import how_many
from fleet.planning.drilling.minutes import Recorded
from fleet.planning.drills import (
    DrillFacts,
    DrillStanding,
    DrillState,
    agreed_interval,
    drills_to_rule_out,
    judge_drills,
)
from fleet.queries.drilling.lots import Drawn, as_claimed, drawn_meshes, month_of
from fleet.queries.drilling.minutes import recorded_minutes
from fleet.queries.facts import drill_facts

ORDER = (DrillState.FAILED, DrillState.OVERDUE, DrillState.NEVER, DrillState.DUE, DrillState.CURRENT)
"""What was shown not to work comes before what nobody knows."""
SHARE = 0.05


@dataclass(frozen=True, slots=True)
class Entry:
    """One mesh: how it stands, the interval in days, and whether it is drawn and waits."""

    mesh: Mesh
    standing: DrillStanding
    days: int
    agreed_days: int | None
    is_drawn: bool

    @property
    def agreed_too_long(self) -> bool:
        """The agreement allows more than a home with such devices may wait."""
        return self.agreed_days is not None and self.agreed_days > self.days


@dataclass(frozen=True, slots=True)
class Roster:
    """entries: the worst first. draw: this month's, None before it is drawn. to_wipe: spares that a drill wrote."""

    entries: tuple[Entry, ...]
    claim: Claim
    to_rule_out: int
    to_draw: int
    draw: DrillDraw | None
    waiting: tuple[Drawn, ...]
    under_way: tuple[Rehearsal, ...]
    to_wipe: tuple[Rehearsal, ...]
    aborted: int
    recorded: Recorded

    @property
    def homes(self) -> int:
        """Homes with a mesh in care."""
        return len({entry.mesh.site_id for entry in self.entries})

    @property
    def homes_in_time(self) -> int:
        """Homes of which every mesh was rehearsed within its interval."""
        late = {entry.mesh.site_id for entry in self.entries if not entry.standing.within_interval}
        return self.homes - len(late)

    def count(self, state: DrillState) -> int:
        """Meshes in this state."""
        return sum(entry.standing.state is state for entry in self.entries)


def roster_of(now: datetime) -> Roster:
    """As of now, in as many statements whatever the size of the book."""
    month, drawn = month_of(now), drawn_meshes()
    waiting = tuple(each for each in drawn if each.answer is None)
    entries = _entries(now, {each.row.mesh_id for each in waiting})
    held = Rehearsal.objects.select_related("mesh__site", "radio")
    return Roster(
        entries=entries,
        claim=claim_of(as_claimed(drawn, month)),
        to_rule_out=drills_to_rule_out(len(entries), SHARE) if entries else 0,
        to_draw=how_many(len(entries)),
        draw=DrillDraw.objects.filter(month=month).first(),
        waiting=waiting,
        under_way=tuple(held.filter(ended_at=None)),
        to_wipe=to_wipe(held),
        aborted=Rehearsal.objects.filter(end="aborted").count(),
        recorded=recorded_minutes(),
    )


def to_wipe(held: QuerySet[Rehearsal]) -> tuple[Rehearsal, ...]:
    """The last drill of each spare that may hold the live key still: not proven blank since it was written."""
    unproven = Q(radio__blank_proven_at=None) | Q(radio__blank_proven_at__lte=F("written_at"))
    gone = (RadioState.SCRAPPED, RadioState.RETURNED, RadioState.ON_AIR)
    rows = held.filter(unproven, written_at__isnull=False).exclude(radio__state__in=gone)
    return tuple({row.radio_id: row for row in rows.order_by("written_at")}.values())


def _entries(now: datetime, waiting: set[int]) -> tuple[Entry, ...]:
    near = (
        Mesh.objects.filter(in_care=True).select_related("site__client").prefetch_related("site__agreements")
    )
    meshes = list(near.defer("roll", "key_digest").order_by("code"))
    drills: dict[int, list[DrillFacts]] = defaultdict(list)
    for drill in Drill.objects.filter(mesh__in_care=True):
        drills[drill.mesh_id].append(drill_facts(drill))
    entries = [_entry(mesh, drills[mesh.pk], mesh.pk in waiting, now) for mesh in meshes]
    return tuple(sorted(entries, key=_worst_first))


def _entry(mesh: Mesh, drills: list[DrillFacts], is_drawn: bool, now: datetime) -> Entry:
    agreement = mesh.site.agreement_on(now.date())
    agreed = agreement.drill_interval_days if agreement else None
    days = agreed_interval(agreed, mesh.safety_relevant)
    return Entry(mesh, judge_drills(drills, days, now), days, agreed, is_drawn)


def _worst_first(entry: Entry) -> tuple[object, ...]:
    """By state, homes with safety devices before others, the one that has waited longest first."""
    due = entry.standing.due_at
    return (
        ORDER.index(entry.standing.state),
        not entry.mesh.safety_relevant,
        due.timestamp() if due else 0.0,
        entry.mesh.code,
    )
