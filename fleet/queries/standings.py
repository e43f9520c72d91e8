"""Rows as messages see them: how each mesh stands, and when the last complete round ended."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import OuterRef, QuerySet, Subquery

from fleet.models import (
    Drill,
    DrillKind,
    DrillResult,
    Mesh,
    Node,
    Round,
    RoundState,
    ServicePeriod,
    Snapshot,
)
from fleet.planning.messages.letters import LastRound
from fleet.planning.messages.standing import Standing
from fleet.planning.readiness import GateName, State
from fleet.queries.board import ROUND_IS_LATE_AFTER
from fleet.queries.incidents import HEARD
from fleet.queries.mesh import newest_sound_at
from fleet.queries.readiness import usable

STOPPED_AFTER = timedelta(hours=26)
"""After this long without a complete round people are told: a day, and the two hours a slow one may take."""


def standings(meshes: QuerySet[Mesh]) -> list[Standing]:
    """How these meshes stand, as the last round left them. Two statements."""
    swaps = Drill.objects.filter(mesh=OuterRef("pk"), kind=DrillKind.LIVE).order_by("-done_at")
    copies = usable(Snapshot.objects.filter(mesh=OuterRef("pk")))
    head = ServicePeriod.objects.filter(mesh=OuterRef("pk"), until=None)
    rows = list(
        meshes.select_related("site")
        .annotate(
            newest_sound_at=newest_sound_at(),
            last_swap=Subquery(swaps.values("result")[:1]),
            last_swap_at=Subquery(swaps.values("done_at")[:1]),
            heard_at=Subquery(copies.filter(grade__in=HEARD).values("taken_at")[:1]),
            family=Subquery(head.values("radio__model__family")[:1]),
        )
        .order_by("code")
    )
    kinds = _safety_kinds([row.pk for row in rows if row.safety_relevant])
    return [_standing(row, kinds.get(row.pk, ())) for row in rows]


def _standing(row: Mesh, kinds: tuple[str, ...]) -> Standing:
    return Standing(
        code=row.code,
        home=row.site.code,
        place=row.site.name,
        zone=ZoneInfo(row.site.time_zone),
        state=State(row.readiness),
        gate=GateName(row.readiness_gate) if row.readiness_gate else None,
        stranded=_is_stranded(row),
        safety=row.safety_relevant,
        kinds=kinds,
        family=row.family or "",
        newest_sound_at=row.newest_sound_at,
    )


def _is_stranded(row: Mesh) -> bool:
    """The last live swap failed, and no copy since shows devices that answer: a radio on air may still be deaf."""
    if row.last_swap != DrillResult.FAILED:
        return False
    return row.heard_at is None or row.heard_at < row.last_swap_at


def _safety_kinds(meshes: list[int]) -> dict[int, tuple[str, ...]]:
    nodes = Node.objects.filter(mesh__in=meshes, gone_since=None).exclude(safety_kind="")
    found: dict[int, tuple[str, ...]] = {}
    for mesh, kind in nodes.values_list("mesh", "safety_kind").distinct().order_by("mesh", "safety_kind"):
        found[mesh] = (*found.get(mesh, ()), kind)
    return found


def last_complete_round() -> Round | None:
    """The round that was the last to go through the whole book."""
    return Round.objects.filter(state=RoundState.DONE).order_by("-finished_at").first()


def last_round(now: datetime) -> LastRound:
    """When it ended, and whether what it found is doubtful by now."""
    last = last_complete_round()
    ended_at = last.finished_at if last else None
    return LastRound(ended_at, ended_at is None or now - ended_at > ROUND_IS_LATE_AFTER)
