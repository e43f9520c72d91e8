"""The facts that one mesh is judged by, from its rows."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from fleet.models import (
    JUDGED_GRADES,
    Currency,
    Custody,
    Grade,
    Mesh,
    Node,
    Radio,
    ServicePeriod,
    Snapshot,
)
from fleet.planning.drills import DrillFacts, agreed_interval, judge_drills
from fleet.planning.freshness import judge_freshness
from fleet.planning.readiness import ReadinessFacts, SpareFacts
from fleet.queries.facts import drill_facts
from fleet.queries.intake import keep_limit_hours
from fleet.queries.spares import SpareShelf
from sites.models import Agreement

SEEN = (Grade.SEEN_LIVE, Grade.PROVEN)


@dataclass(frozen=True, slots=True)
class Judged:
    """A mesh's rows, read once, that its judgement and its sheets share."""

    mesh: Mesh
    head: ServicePeriod | None
    nodes: list[Node]
    newest: Snapshot | None
    facts: ReadinessFacts

    @property
    def radio(self) -> Radio | None:
        """The radio in service."""
        return self.head.radio if self.head else None


def head_in_service(mesh: Mesh) -> ServicePeriod | None:
    """The open service period with its radio, model, limits, firmware and place."""
    return (
        mesh.periods.filter(until=None)
        .select_related("radio__model", "radio__firmware", "radio__place")
        .prefetch_related("radio__model__limits")
        .first()
    )


def usable(copies: QuerySet[Snapshot]) -> QuerySet[Snapshot]:
    """Of these, the sound copies under the key in use whose octets are still here, newest capture first."""
    kept = copies.filter(grade__in=JUDGED_GRADES).exclude(custody=Custody.GONE)
    return kept.exclude(currency=Currency.LOCKED_OUT).order_by("-taken_at", "-id")


def restorable(mesh: Mesh) -> Snapshot | None:
    """The copy to bring the mesh back from."""
    return usable(mesh.snapshots.all()).first()


def judged(mesh: Mesh, shelf: SpareShelf, now: datetime) -> Judged:
    """Everything the gates look at, of one mesh, as of now."""
    head = head_in_service(mesh)
    radio = head.radio if head else None
    nodes = list(mesh.nodes.filter(gone_since=None))
    newest = restorable(mesh)
    held = mesh.snapshots.exclude(custody=Custody.GONE)
    drills = [drill_facts(drill) for drill in mesh.drills.all()]
    facts = readiness_facts(
        mesh,
        radio,
        now,
        newest_at=newest.taken_at if newest else None,
        limit=keep_limit_hours(mesh, now),
        seen_live=_seen_live(newest) if newest else None,
        drills=drills,
        spares=shelf.for_mesh(mesh, radio, nodes),
        unsound=held.filter(grade=Grade.HELD).count() if not newest else 0,
        locked_out=held.filter(currency=Currency.LOCKED_OUT).count() if not newest else 0,
    )
    return Judged(mesh, head, nodes, newest, facts)


def readiness_facts(
    mesh: Mesh,
    radio: Radio | None,
    now: datetime,
    *,
    newest_at: datetime | None,
    limit: float,
    seen_live: bool | None,
    drills: Sequence[DrillFacts],
    spares: tuple[SpareFacts, ...] = (),
    unsound: int = 0,
    locked_out: int = 0,
) -> ReadinessFacts:
    """What the gates look at, from what was read of one mesh or of many. limit: how old a copy may be, in hours."""
    agreement = mesh.site.agreement_on(now.date())
    return ReadinessFacts(
        mesh_code=mesh.code,
        radio=radio.code if radio else None,
        model=str(radio.model) if radio else None,
        firmware=radio.firmware.version if radio and radio.firmware else None,
        promised_point_hours=agreement.recovery_point_hours if agreement else None,
        promised_time_hours=agreement.recovery_time_minutes / 60 if agreement else None,
        position_known=mesh.site.latitude is not None,
        freshness=judge_freshness(newest_at, now, limit) if newest_at else None,
        seen_live=seen_live,
        drill=judge_drills(drills, _drill_days(mesh, agreement), now) if agreement else None,
        spares=spares,
        unsound_snapshots=unsound,
        locked_out_snapshots=locked_out,
    )


def _drill_days(mesh: Mesh, agreement: Agreement) -> int:
    return agreed_interval(agreement.drill_interval_days, mesh.safety_relevant)


def _seen_live(newest: Snapshot) -> bool:
    """Whether any copy under the key in use was seen to match the live mesh; mostly the newest one tells."""
    if newest.grade in SEEN:
        return True
    seen = Snapshot.objects.filter(mesh=newest.mesh_id, grade__in=SEEN)
    return seen.exclude(currency=Currency.LOCKED_OUT).exists()
