"""What a home's folder asks: everything about one home, for one page, in a fixed number of statements."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, F, Prefetch, Q, QuerySet, Window, prefetch_related_objects
from django.db.models.functions import RowNumber

from fleet.models import Mesh, Node, Radio, ServicePeriod, Snapshot
from fleet.queries.incidents import incidents_in
from fleet.queries.mesh import newest_sound_at
from fleet.queries.spares import STANDING_BY
from sites.models import Agreement, Contact, Site

SNAPSHOTS_SHOWN = 5


@dataclass(frozen=True, slots=True)
class Folder:
    """A home as one page. `meshes` carry `heads` (the period in service), `newest` copies and `device_count`.

    They are marked with their incidents (Incidents.mark) and with `spare_stands_by`: whether the best spare still does.
    """

    site: Site
    contacts: list[Contact]
    agreement: Agreement | None
    meshes: list[Mesh]
    spares: list[Radio]
    safety_devices: list[Node]
    sheets: list[Any]

    @property
    def worst(self) -> Mesh | None:
        """The mesh in care that decides what can be said of the home."""
        return min(self.in_care, key=lambda mesh: (mesh.readiness_rank, mesh.code), default=None)

    @property
    def in_care(self) -> list[Mesh]:
        """The meshes that speak for the home."""
        return [mesh for mesh in self.meshes if mesh.in_care]

    @property
    def foremost(self) -> Mesh | None:
        """The mesh whose trouble is told at the top: one that is stranded, one without a voice, or else the worst."""
        stranded = (mesh for mesh in self.in_care if mesh.stranded_since)
        silent = (mesh for mesh in self.in_care if mesh.silence)
        return next(stranded, None) or next(silent, None) or self.worst


def folder_of(site: Site, today: date) -> Folder:
    """All parts of the folder: eleven statements whatever the home holds."""
    meshes = list(_meshes(site))
    incidents_in(Mesh.objects.filter(site=site)).mark(meshes)
    for mesh in meshes:
        mesh.spare_stands_by = mesh.best_spare is not None and mesh.best_spare.state in STANDING_BY
    return Folder(
        site=site,
        contacts=list(site.contacts.order_by("call_order", "id")),
        agreement=agreement_on(site, today),
        meshes=meshes,
        spares=list(_spares(site)),
        safety_devices=list(safety_devices(site)),
        sheets=list(sheets_in_force(site)),
    )


def agreement_on(site: Site, today: date) -> Agreement | None:
    """The agreement in force, or else the one that began last: the page says that it ended or has not begun."""
    prefetch_related_objects([site], "agreements")
    return site.agreement_on(today) or next(iter(site.agreements.all()), None)


def safety_devices(site: Site) -> QuerySet[Node]:
    """Locks, heating, alarms and calls for help of a home that its meshes still list."""
    return (
        Node.objects.filter(mesh__site=site, gone_since=None)
        .exclude(safety_kind="")
        .select_related("mesh")
        .order_by("safety_kind", "room", "label")
    )


def sheets_in_force(site: Site) -> QuerySet[Any]:
    """Sheets that no later one replaces. Sheets live a room above, so they are reached from the home."""
    return site.sheets.filter(replaced_by=None).select_related("mesh").order_by("kind", "mesh__code")


def _meshes(site: Site) -> QuerySet[Mesh]:
    in_service = ServicePeriod.objects.filter(until=None).select_related("radio__model", "radio__firmware")
    numbered = Snapshot.objects.annotate(
        nth=Window(RowNumber(), partition_by=F("mesh"), order_by=[F("taken_at").desc(), F("id").desc()])
    )
    return (
        site.meshes.select_related("best_spare__model", "best_spare__place")
        .annotate(
            newest_sound_at=newest_sound_at(), device_count=Count("nodes", filter=Q(nodes__gone_since=None))
        )
        .prefetch_related(
            Prefetch("periods", in_service, to_attr="heads"),
            Prefetch(
                "snapshots", numbered.filter(nth__lte=SNAPSHOTS_SHOWN).order_by("nth"), to_attr="newest"
            ),
        )
        .order_by("code")
    )


def _spares(site: Site) -> QuerySet[Radio]:
    """Radios that lie in the home and do not lead a mesh."""
    at_home = Radio.objects.filter(place__site=site, state__in=STANDING_BY)
    return at_home.select_related("model", "firmware").order_by("code")
