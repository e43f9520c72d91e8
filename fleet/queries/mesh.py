"""What the page of one mesh asks, and which meshes a person may see."""

from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from typing import NamedTuple

from django.db.models import OuterRef, QuerySet, Subquery
from django.shortcuts import get_object_or_404

from fleet.mesh.capacity import Outlook, Room
from fleet.mesh.counters import Evidence
from fleet.models import (
    Drill,
    Finding,
    Mesh,
    Node,
    PushToken,
    Radio,
    ReadinessChange,
    Replacement,
    ServicePeriod,
    Snapshot,
)
from fleet.planning.readiness import Readiness, assess
from fleet.queries.air import Air, air_of
from fleet.queries.costs import Costs, costs_of
from fleet.queries.counters import Lasting, counter_picture, lasting
from fleet.queries.facts import room_in
from fleet.queries.headroom import outlook_of
from fleet.queries.readiness import judged, usable
from fleet.queries.restoring import GivenOut, given_out
from fleet.queries.spares import STANDING_BY, SpareShelf
from fleet.snapshots.findings import Severity
from sites import access
from sites.models import Person

DRILLS_SHOWN = 5
GIVEN_SHOWN = 3


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
    access.require_not_erased(mesh.site.client)
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

    `readiness` is worked out as of now, with all gates; the mesh row keeps what the last round said. `counter` is
    the highest value ever seen or given out under the key in use.
    """

    readiness: Readiness
    head: ServicePeriod | None
    best_spare: Radio | None
    headroom: Room
    ahead: Outlook | None
    since: ReadinessChange | None
    costs: Costs
    air: Air
    counter: Evidence | None
    lasts: Lasting | None
    rooms: list[RoomOfHouse]
    gone: list[Node]
    findings: list[Finding]
    drills: list[Drill]
    tokens: list[PushToken]
    given: list[GivenOut]
    waiting: int
    replacement: Replacement | None

    @property
    def node_count(self) -> int:
        return sum(len(room.nodes) for room in self.rooms)


def page_of(mesh: Mesh, now: datetime) -> MeshPage:
    """The parts of a mesh's page, in a fixed number of statements."""
    shelf = SpareShelf.load()
    case = judged(mesh, shelf, now)
    readiness = assess(case.facts)
    room = room_in(mesh, case.radio.model if case.radio else None)
    picture = counter_picture(mesh, now)
    return MeshPage(
        readiness=readiness,
        head=case.head,
        best_spare=_best_spare(mesh, readiness, shelf),
        headroom=room,
        ahead=outlook_of(mesh, room, now),
        since=since_when(mesh),
        costs=costs_of(case, readiness, shelf),
        air=air_of(mesh, case.head),
        counter=max(picture.evidence, key=lambda line: line.value) if picture else None,
        lasts=lasting(picture, now) if picture else None,
        rooms=by_room(case.nodes),
        gone=list(mesh.nodes.exclude(gone_since=None).order_by("-gone_since")),
        findings=worst_first(mesh.findings.filter(snapshot=None)),
        drills=list(mesh.drills.select_related("radio")[:DRILLS_SHOWN]),
        tokens=list(mesh.push_tokens.order_by("revoked_at", "-made_at")),
        given=given_out(mesh, GIVEN_SHOWN),
        waiting=mesh.tray_items.filter(cleared_at=None).count(),
        replacement=mesh.replacements.under_way().first(),
    )


def _best_spare(mesh: Mesh, readiness: Readiness, shelf: SpareShelf) -> Radio | None:
    """The one that the last round named, or where that one no longer stands by, the one of this moment."""
    named = mesh.best_spare
    if named is None or named.state in STANDING_BY:
        return named
    return next((each.row for each in shelf.spares if each.row.code == readiness.spare), None)


def since_when(mesh: Mesh) -> ReadinessChange | None:
    """The change to the state that the mesh is in; None where no round has noted one."""
    last = mesh.readiness_changes.first()
    return last if last is not None and last.became == mesh.readiness else None


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


def snapshots_of(mesh: Mesh) -> QuerySet[Snapshot]:
    """The copies of a mesh, newest capture first."""
    return mesh.snapshots.order_by("-taken_at", "-id")
