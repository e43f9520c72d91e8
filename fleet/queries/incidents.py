"""What comes before all else on the board: meshes that may be deaf, and network keys that two meshes share."""

from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Case, Exists, IntegerField, OuterRef, QuerySet, Value, When

from fleet.models import Drill, DrillKind, DrillResult, Finding, Grade, Mesh, Snapshot
from fleet.planning.standing import StandingCode
from fleet.queries.readiness import usable

HEARD = (Grade.SEEN_LIVE, Grade.PROVEN)


@dataclass(frozen=True, slots=True)
class Incidents:
    """Meshes by number. stranded: since when each is; key_shared: those whose network key another mesh uses too."""

    stranded: dict[int, datetime] = field(default_factory=dict)
    key_shared: frozenset[int] = frozenset()

    def first(self) -> list[Case]:
        """What to sort meshes by: the stranded, those with a shared key, all others. Nothing without an incident."""
        if not self.stranded and not self.key_shared:
            return []
        stranded = When(pk__in=self.stranded, then=Value(0))
        shared = When(pk__in=self.key_shared, then=Value(1))
        return [Case(stranded, shared, default=Value(2), output_field=IntegerField())]


NONE = Incidents()


def incidents_in(meshes: QuerySet[Mesh]) -> Incidents:
    """The incidents of these meshes. Two statements, whatever the size of the book."""
    shared = Finding.objects.filter(code=StandingCode.SHARED_KEY, snapshot=None, mesh__in=meshes)
    return Incidents(_stranded(meshes), frozenset(shared.values_list("mesh", flat=True)))


def _stranded(meshes: QuerySet[Mesh]) -> dict[int, datetime]:
    """The last live swap failed, and no copy since shows devices that answer: a radio on air may still be deaf."""
    swaps = Drill.objects.filter(kind=DrillKind.LIVE)
    failed = swaps.filter(result=DrillResult.FAILED, mesh__in=meshes)
    later = swaps.filter(mesh=OuterRef("mesh"), done_at__gt=OuterRef("done_at"))
    heard = usable(Snapshot.objects.filter(mesh=OuterRef("mesh"))).filter(
        grade__in=HEARD, taken_at__gte=OuterRef("done_at")
    )
    found = failed.filter(~Exists(later), ~Exists(heard)).order_by()
    return dict(found.values_list("mesh", "done_at"))


def stranded_since(mesh: Mesh) -> datetime | None:
    """Since when one mesh is stranded, or None. One statement."""
    return _stranded(Mesh.objects.filter(pk=mesh.pk)).get(mesh.pk)
