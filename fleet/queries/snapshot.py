"""What the page of one snapshot asks."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.shortcuts import get_object_or_404

from fleet.models import Arrival, Finding, Pin, Snapshot
from fleet.queries.mesh import meshes_for, worst_first
from fleet.queries.pins import pins_on
from sites.models import Person

ARRIVALS_SHOWN = 20


@dataclass(frozen=True, slots=True)
class SnapshotPage:
    """A copy's findings, worst first, its newest arrivals, and what people pinned. Four statements."""

    findings: list[Finding]
    arrivals: list[Arrival]
    arrival_count: int
    pins: list[Pin]


def snapshot_for(person: Person, uid: UUID, today: date) -> Snapshot:
    """One snapshot with mesh, home and client, or Http404."""
    whole = Snapshot.objects.filter(mesh__in=meshes_for(person, today)).select_related(
        "mesh__site__client", "mesh__keep_rule"
    )
    return get_object_or_404(whole, uid=uid)


def page_of(snapshot: Snapshot) -> SnapshotPage:
    """The parts of a snapshot's page."""
    return SnapshotPage(
        findings=worst_first(snapshot.findings.all()),
        arrivals=list(snapshot.arrivals.all()[:ARRIVALS_SHOWN]),
        arrival_count=snapshot.arrivals.count(),
        pins=list(pins_on(snapshot)),
    )
