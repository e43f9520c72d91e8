"""What the page of one mesh asks, and which meshes a person may see."""

from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from typing import NamedTuple

from django.db.models import OuterRef, QuerySet, Subquery
from django.shortcuts import get_object_or_404

from fleet.mesh.capacity import Room
from fleet.models import (
    CounterEvidence,
    Drill,
    Finding,
    Mesh,
    Node,
    PushToken,
    ServicePeriod,
    Snapshot,
)
from fleet.planning.readiness import Readiness, assess
from fleet.queries.facts import room_in
from fleet.queries.readiness import judged, usable
from fleet.queries.spares import SpareShelf
from fleet.snapshots.findings import Severity
from sites import access
from sites.models import Person

DRILLS_SHOWN = 5


def meshes_for(person: Person, today: date) -> QuerySet[Mesh]:
    """The meshes of the homes that are open to this person."""
    if access.sees_whole_book(person, today):
        return Mesh.objects.all()  # no join for those who see everything
    return Mesh.objects.filter(site__in=access.sites_for(person, today))


def mesh_for(person: Person, code: str, today: date) -> Mesh:
    """One mesh with its home and client, or Http404."""
    return get_object_or_404(_whole(meshes_for(person, today)), code=code)


def mesh_to_change(person: Person, code: str, today: date) -> Mesh:
    """One mesh that this person may change; Http404 where it is not open, PermissionDenied where only to read."""
    mesh = mesh_for(person, code, today)
    access.require_change(person, today)
    return mesh


def _whole(meshes: QuerySet[Mesh]) -> QuerySet[Mesh]:
    near = ("site__client", "keep_rule", "best_spare__model", "best_spare__place")
    agreements = "site__agreements"
    return (
        meshes.select_related(*near).prefetch_related(agreements).annotate(newest_sound_at=newest_sound_at())
    )


def newest_sound_at() -> Subquery:
    """When the newest copy that could bring the mesh back was taken; capture time, never arrival time."""
    copies = Snapshot.objects.filter(mesh=OuterRef("pk"))
    return Subquery(usable(copies).values("taken_at")[:1])


class RoomOfHouse(NamedTuple):
    """The devices of one room; the name is empty where nobody gave one."""

    name: str
    nodes: list[Node]


@dataclass(frozen=True, slots=True)
class MeshPage:
    """Everything the page shows beside the mesh and its copies.

    `readiness` is worked out as of now, with all gates; the mesh row keeps what the last round said.
    """

    readiness: Readiness
    head: ServicePeriod | None
    headroom: Room
    counter: CounterEvidence | None
    rooms: list[RoomOfHouse]
    gone: list[Node]
    findings: list[Finding]
    drills: list[Drill]
    tokens: list[PushToken]
    waiting: int

    @property
    def node_count(self) -> int:
        return sum(len(room.nodes) for room in self.rooms)


def page_of(mesh: Mesh, now: datetime) -> MeshPage:
    """The parts of a mesh's page, in a fixed number of statements."""
    case = judged(mesh, SpareShelf.load(), now)
    return MeshPage(
        readiness=assess(case.facts),
        head=case.head,
        headroom=room_in(mesh, case.radio.model if case.radio else None),
        counter=highest_counter(mesh),
        rooms=by_room(case.nodes),
        gone=list(mesh.nodes.exclude(gone_since=None).order_by("-gone_since")),
        findings=worst_first(mesh.findings.filter(snapshot=None)),
        drills=list(mesh.drills.select_related("radio")[:DRILLS_SHOWN]),
        tokens=list(mesh.push_tokens.order_by("revoked_at", "-made_at")),
        waiting=mesh.tray_items.filter(cleared_at=None).count(),
    )


def worst_first(findings: QuerySet[Finding]) -> list[Finding]:
    """What holds a copy before what casts doubt before what is only worth reading."""
    order = {
        severity.value: rank for rank, severity in enumerate((Severity.STOP, Severity.DOUBT, Severity.NOTE))
    }
    return sorted(findings, key=lambda row: (order[row.severity], row.code))


def by_room(nodes: list[Node]) -> list[RoomOfHouse]:
    """Nodes in rooms, named rooms first; the nodes must come in order of room."""
    rooms = [RoomOfHouse(name, list(members)) for name, members in groupby(nodes, key=lambda node: node.room)]
    return sorted(rooms, key=lambda room: not room.name)


def highest_counter(mesh: Mesh) -> CounterEvidence | None:
    """The highest outgoing counter ever seen or granted under the key in use."""
    ledger = mesh.counter_evidence.filter(key_mark=mesh.key_mark, key_sequence=mesh.key_sequence)
    return ledger.order_by("-value").first() if mesh.key_mark else None


def snapshots_of(mesh: Mesh) -> QuerySet[Snapshot]:
    """The copies of a mesh, newest capture first."""
    return mesh.snapshots.order_by("-taken_at", "-id")
