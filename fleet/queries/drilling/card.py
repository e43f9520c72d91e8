"""What the card of one drill shows, which drills a person may see, and with which spares one can be begun."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404

from fleet.models import Mesh, Node, Place, PlaceKind, Radio, RadioState, Rehearsal, RehearsalStep, Snapshot
from fleet.planning.drilling.steps import ORDER, WORDS, Step, Told
from fleet.planning.drills import DrillKind
from fleet.queries.blank import is_blank, with_proof
from fleet.queries.drilling.spares import planned_radio
from fleet.queries.mesh import meshes_for
from fleet.queries.readiness import restorable
from fleet.queries.restoring import doubts_about
from sites import access
from sites.models import Person

NEAR = (
    "mesh__site__client",
    "mesh__best_spare",
    "radio__model",
    "radio__firmware",
    "source_release__model",
    "target_release__model",
    "place",
    "snapshot",
    "drill",
)


@dataclass(frozen=True, slots=True)
class Stage:
    """One step in its order: done, under way, or still to come (row is None)."""

    step: Step
    told: Told
    row: RehearsalStep | None

    @property
    def is_now(self) -> bool:
        """Its clock runs."""
        return self.row is not None and self.row.ended_at is None

    @property
    def seconds(self) -> int | None:
        """How long it took."""
        minutes = self.row.minutes if self.row else None
        return None if minutes is None else round(minutes * 60)


@dataclass(frozen=True, slots=True)
class DrillCard:
    """copy: the one that was or would be given out; doubts: why one person may not take it alone."""

    row: Rehearsal
    stages: tuple[Stage, ...]
    copy: Snapshot | None
    doubts: tuple[str, ...]
    is_blank_again: bool
    safety_devices: tuple[Node, ...]
    now: datetime

    @property
    def current(self) -> Stage | None:
        """The step under way; None once all are done, or it has ended."""
        return next((stage for stage in self.stages if stage.is_now), None)

    @property
    def is_over(self) -> bool:
        """It has ended."""
        return self.row.ended_at is not None

    @property
    def writes(self) -> bool:
        """The document is given out at this step."""
        return self.current is not None and self.current.step is Step.WRITE

    @property
    def too_late(self) -> bool:
        """The live radio may have come to its numbers."""
        return self.row.range_until is not None and self.now > self.row.range_until


def rehearsals_for(person: Person, today: date) -> QuerySet[Rehearsal]:
    """Those of the meshes that are open to this person."""
    return Rehearsal.objects.filter(mesh__in=meshes_for(person, today)).select_related(*NEAR)


def rehearsal_for(person: Person, uid: UUID, today: date) -> Rehearsal:
    """One drill, or Http404."""
    return get_object_or_404(rehearsals_for(person, today), uid=uid)


def rehearsal_to_change(person: Person, uid: UUID, today: date) -> Rehearsal:
    """One that this person may go on with; Http404 where it is not open, PermissionDenied where only to read."""
    row = rehearsal_for(person, uid, today)
    access.require_change(person, today)
    access.require_not_erased(row.mesh.site.client)
    return row


def card_of(row: Rehearsal, now: datetime) -> DrillCard:
    """The card as of now, in a fixed number of statements."""
    held = {step.step: step for step in row.steps.all()}
    order = ORDER[DrillKind(row.kind)]
    copy = row.snapshot or restorable(row.mesh)
    proven = row.radio.blank_proven_at if row.radio else None
    return DrillCard(
        row=row,
        stages=tuple(Stage(step, WORDS[step], held.get(step.value)) for step in order),
        copy=copy,
        doubts=doubts_about(copy) if copy and row.radio and row.ended_at is None else (),
        is_blank_again=bool(row.written_at and proven and proven > row.written_at),
        safety_devices=tuple(row.mesh.nodes.filter(gone_since=None).exclude(safety_kind="")),
        now=now,
    )


def spares_to_drill(mesh: Mesh) -> list[Radio]:
    """Blank spares that no swap, no drill and no other home has, those of the plan's build first."""
    free = with_proof(Radio.objects.filter(state__in=(RadioState.SHELVED, RadioState.WIPED)))
    elsewhere = Q(place__site__isnull=False) & ~Q(place__site=mesh.site_id)
    rows = free.exclude(
        elsewhere | Q(firmware=None) | Q(rehearsals__in=Rehearsal.objects.filter(ended_at=None))
    )
    plan = planned_radio(mesh)
    build = plan.firmware_id if plan else None
    found = [radio for radio in rows.select_related("model", "firmware", "place__site") if is_blank(radio)]
    return sorted(found, key=lambda radio: (radio.firmware_id != build, radio.code))


def places_to_drill(mesh: Mesh) -> QuerySet[Place]:
    """Shelves, vans and homes; the home itself is named too, so that whoever chooses it is told why not."""
    mine = Q(kind=PlaceKind.HOME, site=mesh.site_id)
    return Place.objects.filter(~Q(kind=PlaceKind.HOME) | mine).order_by("kind", "code")
