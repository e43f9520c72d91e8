"""What comes before all else: meshes that may be deaf or have no voice, and network keys that two meshes share."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from django.db.models import Case, Exists, IntegerField, OuterRef, QuerySet, Subquery, Value, When
from django.db.models.functions import Coalesce

from fleet.models import (
    Drill,
    DrillKind,
    DrillResult,
    Finding,
    Grade,
    Mesh,
    Replacement,
    SilenceProof,
    Snapshot,
)
from fleet.planning.messages.phrases import AFTER_SILENCE, AFTER_STRANDING
from fleet.planning.replacing.states import NOBODY_SPEAKS
from fleet.planning.standing import StandingCode
from fleet.queries.readiness import usable

HEARD = (Grade.SEEN_LIVE, Grade.PROVEN)


@dataclass(frozen=True, slots=True)
class Silence:
    """A replacement under way in which neither radio speaks: its card, and since when."""

    card: UUID
    since: datetime


@dataclass(frozen=True, slots=True)
class Incidents:
    """Meshes by number. stranded: since when each is; key_shared: those whose network key another mesh uses too."""

    stranded: dict[int, datetime] = field(default_factory=dict)
    silent: dict[int, Silence] = field(default_factory=dict)
    key_shared: frozenset[int] = frozenset()

    @property
    def only_silent(self) -> int:
        """Meshes in which nobody speaks while a radio is replaced, and that are not stranded."""
        return len(self.silent.keys() - self.stranded.keys())

    def first(self) -> list[Case]:
        """What to sort by: the stranded, the silent, those with a shared key, all others. Nothing without any."""
        if not self.stranded and not self.silent and not self.key_shared:
            return []
        stranded = When(pk__in=self.stranded, then=Value(0))
        silent = When(pk__in=self.silent, then=Value(1))
        shared = When(pk__in=self.key_shared, then=Value(2))
        return [Case(stranded, silent, shared, default=Value(3), output_field=IntegerField())]

    def mark(self, meshes: Iterable[Mesh]) -> None:
        """Give each mesh `stranded_since`, `silence` (None where it has none), `key_shared` and `what_helps`."""
        for mesh in meshes:
            mesh.stranded_since = self.stranded.get(mesh.pk)
            mesh.silence = self.silent.get(mesh.pk)
            mesh.key_shared = mesh.pk in self.key_shared
            mesh.what_helps = (
                AFTER_STRANDING
                if mesh.stranded_since
                else AFTER_SILENCE
                if mesh.silence
                else mesh.readiness_act
            )


NONE = Incidents()


def incidents_in(meshes: QuerySet[Mesh]) -> Incidents:
    """The incidents of these meshes. Three statements, whatever the size of the book."""
    shared = Finding.objects.filter(code=StandingCode.SHARED_KEY, snapshot=None, mesh__in=meshes)
    return Incidents(_stranded(meshes), _silent(meshes), frozenset(shared.values_list("mesh", flat=True)))


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


def _silent(meshes: QuerySet[Mesh]) -> dict[int, Silence]:
    """Open replacements in a state in which nobody speaks, as the rows have it now and not as a round found it."""
    proofs = SilenceProof.objects.filter(replacement=OuterRef("pk")).order_by("-at", "-id")
    states = sorted(state.value for state in NOBODY_SPEAKS)
    swaps = Replacement.objects.filter(state__in=states, mesh__in=meshes).order_by()
    found = swaps.annotate(since=Coalesce(Subquery(proofs.values("at")[:1]), "moved_at"))
    return {mesh: Silence(uid, since) for mesh, uid, since in found.values_list("mesh", "uid", "since")}


def stranded_since(mesh: Mesh) -> datetime | None:
    """Since when one mesh is stranded, or None. One statement."""
    return _stranded(Mesh.objects.filter(pk=mesh.pk)).get(mesh.pk)
