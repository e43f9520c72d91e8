"""Lots as rows hold them: who has one today, what was drawn, and whether drawing again gives the same."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from random import Random
from zoneinfo import ZoneInfo

from django.db.models import Q

from fleet.models import DrawnMesh, Drill, DrillDraw, DrillKind, DrillResult, Mesh, Radio, ServicePeriod
from fleet.planning.compatibility import PairRecord
from fleet.planning.drilling.claim import DrawnLot
from fleet.planning.drilling.lots import Lot, LotsError, draw, lot_of, unevenness
from fleet.queries.spares import pair_records
from sites.models import Firm


@dataclass(frozen=True, slots=True)
class Drawn:
    """A mesh that was drawn, and the first drill since that says something of the home; None while it waits."""

    row: DrawnMesh
    answer: Drill | None


def month_of(now: datetime) -> date:
    """The first day of the month that it is at the firm."""
    firm = Firm.objects.first()
    return now.astimezone(ZoneInfo(firm.time_zone if firm else "UTC")).date().replace(day=1)


def written_lot(lot: Lot) -> list[object]:
    """As a draw keeps it."""
    return [lot.mesh, lot.trials, lot.passes, lot.weight]


def lots_of(row: DrillDraw) -> tuple[Lot, ...]:
    """The lots that a draw kept."""
    return tuple(Lot(*each) for each in row.lots)


def drawn_again(row: DrillDraw) -> bool:
    """Whether the seed over the lots that were kept gives the meshes that were drawn, in their order."""
    outcome = tuple(row.drawn.order_by("place").values_list("mesh__code", flat=True))
    try:
        return draw(lots_of(row), row.count, Random(row.seed)) == outcome
    except LotsError:
        return False


def lots_now() -> tuple[Lot, ...]:
    """A lot for every mesh in care that is not drawn and waiting, by the record of the pair that its plan would use."""
    waiting = {each.row.mesh_id for each in drawn_meshes() if each.answer is None}
    meshes = list(Mesh.objects.filter(in_care=True).exclude(pk__in=waiting).order_by("code"))
    heads = dict(
        ServicePeriod.objects.filter(mesh__in=meshes, until=None).values_list("mesh", "radio__firmware")
    )
    spares = dict(
        Radio.objects.filter(pk__in=[mesh.best_spare_id for mesh in meshes]).values_list("pk", "firmware")
    )
    records = pair_records()
    return tuple(
        lot_of(
            mesh.code,
            records.get((heads.get(mesh.pk), spares.get(mesh.best_spare_id or 0)), PairRecord()),
        )
        for mesh in meshes
    )


def drawn_meshes() -> tuple[Drawn, ...]:
    """What was ever drawn, newest draw first, with the drill that answers it. Two statements.

    A mesh that left our care before it was drilled can be drilled no more, and is left out.
    """
    rows = list(
        DrawnMesh.objects.select_related("draw", "mesh__site__client").order_by("-draw__month", "place")
    )
    drills = _that_count([row.mesh_id for row in rows])
    drawn = (Drawn(row, _first_since(drills[row.mesh_id], row.draw.drawn_at)) for row in rows)
    return tuple(each for each in drawn if each.answer or each.row.mesh.in_care)


def as_claimed(drawn: Iterable[Drawn], month: date) -> list[DrawnLot]:
    """As the claim takes them. month: the one that it is."""
    uneven: dict[int, float] = {}
    lots = []
    for each in drawn:
        of = each.row.draw
        if of.pk not in uneven:
            uneven[of.pk] = unevenness(lots_of(of))
        passed = None if each.answer is None else each.answer.result == DrillResult.PASSED
        lots.append(DrawnLot(passed, of.month < month, uneven[of.pk]))
    return lots


def _that_count(meshes: Sequence[int]) -> dict[int, list[Drill]]:
    counting = Q(mesh__in=meshes, own_pair_only=False) & ~Q(kind=DrillKind.PAPER)
    found: dict[int, list[Drill]] = defaultdict(list)
    for drill in Drill.objects.filter(counting).order_by("done_at", "pk"):
        found[drill.mesh_id].append(drill)
    return found


def _first_since(drills: Sequence[Drill], moment: datetime) -> Drill | None:
    return next((drill for drill in drills if drill.done_at >= moment), None)
