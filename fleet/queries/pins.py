"""Pins that people set, and the copies of one mesh that are marked to go."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, F, Min, Q, QuerySet

from fleet.models import MARKED, KeepRule, Mesh, Pin, PinKind, Snapshot
from fleet.planning.marking import goes_at
from fleet.queries.rule_book import rule_for


def pins_on(snapshot: Snapshot) -> QuerySet[Pin]:
    """Standing pins of one copy: its own and that of its whole mesh. One statement."""
    mine = Q(snapshot=snapshot) | Q(snapshot=None)
    return Pin.objects.filter(mine, mesh=snapshot.mesh_id, ended_at=None)


def missing_kinds(snapshot: Snapshot, standing: Iterable[Pin], may_decide: bool) -> list[PinKind]:
    """The kinds of pin that somebody could still set on this copy; a legal hold is for those who may decide."""
    if snapshot.gone_at is not None:
        return []
    have = {pin.kind for pin in standing if pin.snapshot_id is not None}
    kinds = [PinKind.BY_HAND, PinKind.LEGAL] if may_decide else [PinKind.BY_HAND]
    return [kind for kind in kinds if kind not in have]


def pins_of(mesh: Mesh) -> QuerySet[Pin]:
    """All standing pins of a mesh, each with its copy; one on the whole mesh comes first."""
    standing = mesh.pins.filter(ended_at=None).select_related("snapshot")
    return standing.order_by(F("snapshot__taken_at").desc(nulls_first=True), "-id")


def goes(snapshot: Snapshot) -> datetime | None:
    """From when a marked copy may be erased; None where it is not marked. At most one statement."""
    if snapshot.doomed_at is None or snapshot.gone_at is not None:
        return None
    return goes_at(snapshot.doomed_at, rule_for(snapshot.mesh).grace_days)


@dataclass(frozen=True, slots=True)
class Keeping:
    """How a mesh's copies are kept: by which rule, how many are marked, when the first may go, pins of people."""

    rule: KeepRule
    marked: int
    first_goes: datetime | None
    pins: int


def keeping_of(mesh: Mesh) -> Keeping:
    """For the page of a mesh. Two statements, three where the mesh has no rule of its own."""
    rule = rule_for(mesh)
    marked = marked_of(mesh).order_by().aggregate(count=Count("pk"), first=Min("doomed_at"))
    first = goes_at(marked["first"], rule.grace_days) if marked["first"] else None
    return Keeping(rule, marked["count"], first, mesh.pins.filter(ended_at=None).count())


@dataclass(frozen=True, slots=True)
class Marked:
    """A copy that nothing holds, and from when it may be erased."""

    copy: Snapshot
    goes: datetime


def marked_of(mesh: Mesh) -> QuerySet[Snapshot]:
    """The copies of a mesh that are marked to go, those that go first in front."""
    return mesh.snapshots.filter(MARKED).order_by("doomed_at", "taken_at", "id")


def with_days(copies: Iterable[Snapshot], grace_days: int) -> list[Marked]:
    """These copies with the moment from which each may be erased."""
    return [Marked(copy, goes_at(copy.doomed_at, grace_days)) for copy in copies if copy.doomed_at]
