"""Rows to the facts of a drill's record."""

from datetime import datetime, timedelta
from decimal import Decimal

from fleet.mesh.codes import with_check
from fleet.models import Drill, DrillKind, DrillResult, EvidenceKind, Mesh, RadioState, Snapshot
from fleet.planning.compatibility import PairRecord
from fleet.planning.drills import DrillState, agreed_interval, failing_share_upper, judge_drills
from fleet.queries.facts import drill_facts as as_decided
from fleet.queries.spares import SpareShelf
from reports.facts.drill import Blank, Claim, DrillFacts, Kind, NextDrill, Rehearsed, SameBuild
from reports.facts.head import Issue
from reports.facts.snapshots import SnapshotMark
from reports.facts.terms import GRADES
from reports.queries import home
from reports.queries.job import pair_record

NEAR = ("mesh__site__client", "snapshot", "radio__model", "radio__firmware", "source_release__model",
        "target_release__model")  # fmt: skip


def drill_record_facts(drill: Drill, issue: Issue, shelf: SpareShelf, now: datetime) -> DrillFacts:
    """Everything on the record of one drill: the drill as it was, and what is known of it today."""
    drill = Drill.objects.select_related(*NEAR).get(pk=drill.pk)
    mesh, site = drill.mesh, drill.mesh.site
    record = shelf.records.get((drill.source_release_id, drill.target_release_id), PairRecord())
    return DrillFacts(
        issue=issue,
        firm=home.firm_facts(),
        home=home.home_facts(site),
        mesh_code=with_check(mesh.code),
        kind=Kind(drill.kind),
        passed=drill.result == DrillResult.PASSED,
        held_at=home.at_home(drill.done_at, site),
        purpose=mesh.name or None,
        by=drill.by or None,
        minutes=drill.minutes,
        copy=_copy(drill.snapshot, mesh),
        rehearsed=_rehearsed(drill),
        same_build=_same_build(drill),
        numbers_to=_numbers_to(drill),
        record=pair_record(record) if record.trials else None,
        claim=_claim(drill),
        blank=_blank(drill),
        blank_by=drill.radio.blank_proven_by or None if drill.radio and _proven_after(drill) else None,
        blank_at=drill.radio.blank_proven_at if drill.radio and _proven_after(drill) else None,
        next_drill=_next_drill(mesh, now),
    )


def _copy(copy: Snapshot | None, mesh: Mesh) -> SnapshotMark | None:
    if copy is None:
        return None
    return SnapshotMark(
        taken_at=home.at_home(copy.taken_at, mesh.site),
        grade=GRADES[copy.grade],
        digest=copy.sha256,
        nodes=copy.node_count,
        key_sequence=copy.key_sequence,
    )


def _rehearsed(drill: Drill) -> Rehearsed | None:
    radio = drill.radio
    if radio is None:
        return None
    source, target = drill.source_release, drill.target_release
    return Rehearsed(
        code=radio.code,
        model=str(radio.model),
        serial=radio.serial,
        source=f"{source.model} {source.version}" if source else None,
        target=f"{target.model} {target.version}" if target else None,
        build_today=radio.firmware.version if radio.firmware else None,
    )


def _same_build(drill: Drill) -> SameBuild:
    today = drill.radio.firmware_id if drill.radio else None
    if drill.target_release_id is None or today is None:
        return SameBuild.NOT_KNOWN
    return SameBuild.SAME if drill.target_release_id == today else SameBuild.OTHER


def _numbers_to(drill: Drill) -> int | None:
    """The last number of the ranges that drills of this mesh took on the day at the home."""
    start = home.at_home(drill.done_at, drill.mesh.site).replace(hour=0, minute=0, second=0, microsecond=0)
    taken = drill.mesh.counter_evidence.filter(
        kind=EvidenceKind.DRILL, at__gte=start, at__lt=start + timedelta(days=1)
    )
    values = taken.order_by("-value").values_list("value", flat=True)
    return values.first()


def _claim(drill: Drill) -> Claim | None:
    """All bench and live drills of the book from the one family to the other."""
    if drill.source_release is None or drill.target_release is None:
        return None
    source, target = drill.source_release.model.family, drill.target_release.model.family
    results = list(
        Drill.objects.exclude(kind=DrillKind.PAPER)
        .filter(source_release__model__family=source, target_release__model__family=target)
        .values_list("result", flat=True)
    )
    if not results:
        return None
    passes = sum(result == DrillResult.PASSED for result in results)
    upper = None
    if passes == len(results):
        upper = Decimal(str(round(failing_share_upper(passes) * 100, 1)))
    return Claim(f"{source} → {target}", len(results), passes, upper)


def _proven_after(drill: Drill) -> bool:
    proven = drill.radio.blank_proven_at if drill.radio else None
    return proven is not None and proven > drill.done_at


def _blank(drill: Drill) -> Blank:
    if drill.radio is None or drill.kind == DrillKind.PAPER:
        return Blank.NO_RADIO
    if drill.radio.state == RadioState.ON_AIR:
        return Blank.ON_AIR
    return Blank.PROVEN if _proven_after(drill) else Blank.NOT_PROVEN


def _next_drill(mesh: Mesh, now: datetime) -> NextDrill | None:
    agreement = mesh.site.agreement_on(home.local_day(now, mesh.site))
    if agreement is None:
        return None
    drills = [as_decided(each) for each in mesh.drills.all()]
    days = agreed_interval(agreement.drill_interval_days, mesh.safety_relevant)
    standing = judge_drills(drills, days, now)
    due = home.local_day(standing.due_at, mesh.site) if standing.due_at else None
    late = standing.state in (DrillState.OVERDUE, DrillState.FAILED)
    return NextDrill(days, due, late)
