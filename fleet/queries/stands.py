"""Many meshes as the gates see them, some hundreds at a time: what queries.readiness.judged reads of one mesh.

The number of statements is the same however many meshes there are. A test holds both against each other.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, OuterRef, Q, Subquery

from fleet.models import (
    ClientKeepRule,
    Currency,
    Custody,
    Drill,
    Grade,
    Mesh,
    Node,
    Radio,
    ServicePeriod,
    Snapshot,
)
from fleet.models import KeepRule as KeepRuleRow
from fleet.planning.drills import DrillFacts
from fleet.planning.freshness import limit_hours
from fleet.planning.supposing import Stand
from fleet.queries.facts import drill_facts
from fleet.queries.readiness import SEEN, readiness_facts, usable
from fleet.queries.rule_book import default_rule

NONE_HELD = (0, 0)


@dataclass(frozen=True, slots=True)
class Rules:
    """Which keep rule sets how old a copy may be where no agreement does; read once for a whole book."""

    default: KeepRuleRow
    of_client: dict[int, KeepRuleRow]

    @classmethod
    def load(cls) -> "Rules":
        """Two statements."""
        chosen = ClientKeepRule.objects.select_related("rule")
        return cls(default_rule(), {row.client_id: row.rule for row in chosen})

    def hours(self, mesh: Mesh) -> int:
        own = mesh.keep_rule or self.of_client.get(mesh.site.client_id) or self.default
        return own.freshness_hours


@dataclass(frozen=True, slots=True)
class StandRows:
    """One mesh with its rows, and as the gates see it but for its spares."""

    mesh: Mesh
    radio: Radio | None
    nodes: list[Node]
    stand: Stand


@dataclass(frozen=True, slots=True)
class _Read:
    """Rows of many meshes, by mesh."""

    radios: dict[int, Radio]
    nodes: dict[int, list[Node]]
    newest: dict[int, Snapshot]
    seen: set[int]
    held: dict[int, tuple[int, int]]
    drills: dict[int, tuple[DrillFacts, ...]]


def meshes_of(keys: Sequence[int]) -> list[Mesh]:
    """These meshes in care with what judging needs of them, by key. Two statements."""
    rows = Mesh.objects.filter(pk__in=keys, in_care=True).select_related("site", "keep_rule")
    return list(rows.prefetch_related("site__agreements").defer("roll", "key_digest").order_by("pk"))


def stand_rows(meshes: Sequence[Mesh], rules: Rules, now: datetime) -> list[StandRows]:
    """Each mesh as of now. The meshes must come from meshes_of. At most seven statements."""
    read = _read(meshes)
    return [_one(mesh, read, rules, now) for mesh in meshes]


def _read(meshes: Sequence[Mesh]) -> _Read:
    keys = [mesh.pk for mesh in meshes]
    periods = ServicePeriod.objects.filter(mesh__in=keys, until=None)
    heads = periods.select_related("radio__model", "radio__firmware").prefetch_related("radio__model__limits")
    nodes: dict[int, list[Node]] = defaultdict(list)
    for node in Node.objects.filter(mesh__in=keys, gone_since=None).order_by("mesh"):
        nodes[node.mesh_id].append(node)
    newest = _newest(keys)
    drills: dict[int, tuple[DrillFacts, ...]] = defaultdict(tuple)
    for drill in Drill.objects.filter(mesh__in=keys):
        drills[drill.mesh_id] += (drill_facts(drill),)
    seen = Snapshot.objects.filter(mesh__in=newest, grade__in=SEEN).exclude(currency=Currency.LOCKED_OUT)
    return _Read(
        radios={period.mesh_id: period.radio for period in heads},
        nodes=nodes,
        newest=newest,
        seen=set(seen.order_by().values_list("mesh", flat=True).distinct()),
        held=_held([key for key in keys if key not in newest]),
        drills=drills,
    )


def _newest(keys: Sequence[int]) -> dict[int, Snapshot]:
    """The copy that each mesh would be brought back from."""
    of_mesh = usable(Snapshot.objects.filter(mesh=OuterRef("pk"))).values("pk")[:1]
    newest = Mesh.objects.filter(pk__in=keys).annotate(newest=Subquery(of_mesh)).values("newest")
    rows = Snapshot.objects.filter(pk__in=newest.order_by()).only("mesh_id", "taken_at", "grade")
    return {row.mesh_id: row for row in rows}


def _held(keys: Sequence[int]) -> dict[int, tuple[int, int]]:
    """How many unsound and how many locked-out copies there are instead."""
    copies = Snapshot.objects.filter(mesh__in=keys).exclude(custody=Custody.GONE)
    counts = (
        copies.order_by()
        .values("mesh")
        .annotate(
            unsound=Count("pk", filter=Q(grade=Grade.HELD)),
            locked=Count("pk", filter=Q(currency=Currency.LOCKED_OUT)),
        )
    )
    return {row["mesh"]: (row["unsound"], row["locked"]) for row in counts}


def _one(mesh: Mesh, read: _Read, rules: Rules, now: datetime) -> StandRows:
    radio, newest, drills = read.radios.get(mesh.pk), read.newest.get(mesh.pk), read.drills[mesh.pk]
    agreement = mesh.site.agreement_on(now.date())
    promise = agreement.recovery_point_hours if agreement else rules.hours(mesh)
    unsound, locked = read.held.get(mesh.pk, NONE_HELD)
    captured_at = newest.taken_at if newest else None
    facts = readiness_facts(
        mesh,
        radio,
        now,
        newest_at=captured_at,
        limit=limit_hours(promise, mesh.joins_per_month),
        seen_live=mesh.pk in read.seen if newest else None,
        drills=drills,
        unsound=unsound,
        locked_out=locked,
    )
    stand = Stand(facts, captured_at, mesh.joins_per_month, drills)
    return StandRows(mesh, radio, read.nodes[mesh.pk], stand)
