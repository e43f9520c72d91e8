"""How long the work on a mesh takes, and the walk to wake its devices, from the rows (trade rule C15)."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, Q

from fleet.models import Node, Replacement, VisitWork, Why
from fleet.planning.estimating import NO_MINUTES, RestoreWork, ThreePoints, restore_minutes
from fleet.planning.visits.durations import Walk
from fleet.planning.visits.joining import TaskKind
from fleet.snapshots.facts import Power
from sites.models import Agreement

# What is worth making against other work, 0 to 100. Common practice, no source.
VALUES = {VisitWork.SWAP: 40, VisitWork.UPDATE: 30, VisitWork.DRILL: 10}
WITHOUT_A_VOICE = (Why.FAILED.value, Why.THEFT.value)
MOST_URGENT = 100
KINDS = {
    VisitWork.SWAP: TaskKind.SWAP,
    VisitWork.UPDATE: TaskKind.UPDATE,
    VisitWork.DRILL: TaskKind.DRILL,
    VisitWork.SURVEY: TaskKind.SURVEY,
}
TOUCHES_RADIO = frozenset({VisitWork.SWAP, VisitWork.UPDATE})
"""Work during which nobody speaks in the home: not before a weekend, and not in frost where it is heated."""


@dataclass(frozen=True, slots=True)
class DeviceCounts:
    """Devices of a mesh: all, those on batteries that are gone round to be woken, and those with a button to press."""

    nodes: int = 0
    asleep: int = 0
    buttons: int = 0
    heating: int = 0


def device_counts(meshes: Iterable[int]) -> dict[int, DeviceCounts]:
    """By the mesh's key, in one statement. Who wrote down how a device is woken said that somebody must be there."""
    wakes = ~Q(wake="")
    rows = (
        Node.objects.filter(mesh__in=list(meshes), gone_since=None)
        .values("mesh")
        .order_by("mesh")
        .annotate(
            n=Count("pk"),
            asleep=Count("pk", filter=Q(power=Power.BATTERY.value) | wakes),
            buttons=Count("pk", filter=wakes),
            heating=Count("pk", filter=Q(safety_kind="heat")),
        )
    )
    return {
        row["mesh"]: DeviceCounts(row["n"], row["asleep"], row["buttons"], row["heating"]) for row in rows
    }


def work_minutes(kind: VisitWork, counts: DeviceCounts) -> ThreePoints:
    """Minutes at the home without the way and the walk, by the card's own estimate (trade rule C7).

    A drill at the bench of the home writes a spare that radiates nothing, so no device is verified.
    """
    if kind in TOUCHES_RADIO:
        return restore_minutes(counts.nodes)
    if kind is VisitWork.DRILL:
        work = RestoreWork()
        return work.diagnose + work.write + work.restart + work.settle
    return NO_MINUTES


def walk_of(kind: VisitWork, counts: DeviceCounts) -> Walk:
    """Only devices on batteries are gone round: mains devices answer by themselves, and the estimate verifies them."""
    return Walk(counts.asleep, counts.buttons) if kind in TOUCHES_RADIO else Walk()


def value_of(kind: VisitWork, swap: Replacement | None) -> int:
    """A home whose radio failed comes before all else."""
    return MOST_URGENT if swap is not None and swap.why in WITHOUT_A_VOICE else VALUES.get(kind, 0)


def due_of_swap(swap: Replacement, agreement: Agreement | None) -> datetime | None:
    """A home without a voice is due by the promised recovery time from the call on; a precaution has no due time."""
    if swap.why not in WITHOUT_A_VOICE or agreement is None:
        return None
    return swap.asked_at + timedelta(minutes=agreement.recovery_time_minutes)
