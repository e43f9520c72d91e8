"""Applying the keep rule to one mesh's dated copies: hold, mark, take the mark off, erase after the grace time."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.models import JUDGED_GRADES, Custody, Grade, Mesh, SealedBody, Snapshot
from fleet.models import KeepRule as KeepRuleRow
from fleet.planning.keeping import Copy, KeepRule, keep, marks
from fleet.queries.intake import rule_for
from fleet.verbs import journal
from fleet.verbs.repack import let_base_go

TIERS = ("day ", "week ", "month ", "year ")
FIELDS = ("custody", "holds", "doomed_at")


@dataclass(frozen=True, slots=True)
class KeepReport:
    """How many copies this pass marked, took the mark off, and erased."""

    marked: int
    unmarked: int
    erased: int


@transaction.atomic
def apply_rule(mesh: Mesh, now: datetime, last_round_complete: bool) -> KeepReport:
    """Bring custody and holds of the mesh's copies in line with its keep rule, in the home's own time zone."""
    row = rule_for(mesh)
    rule = KeepRule(row.days, row.weeks, row.months, row.years, row.grace_days)
    rows = {
        snapshot.pk: snapshot
        for snapshot in mesh.snapshots.exclude(custody=Custody.GONE).order_by("-taken_at", "-id")
    }
    copies = [_copy(snapshot) for snapshot in rows.values()]
    held = keep(copies, rule, ZoneInfo(mesh.site.time_zone))
    marked_at = {pk: snapshot.doomed_at for pk, snapshot in rows.items() if snapshot.doomed_at is not None}
    due = marks(copies, held, marked_at, now, rule, last_round_complete=last_round_complete)
    changed = [snapshot for pk, snapshot in rows.items() if _settle(snapshot, held.get(pk, ()), now)]
    Snapshot.objects.bulk_update(changed, FIELDS, batch_size=500)
    _erase([rows[pk] for pk in due.erase], mesh, row, rule, now)
    return KeepReport(len(due.mark), len(due.unmark), len(due.erase))


def _copy(snapshot: Snapshot) -> Copy[int]:
    sound = snapshot.grade in JUDGED_GRADES
    return Copy(
        key=snapshot.pk,
        taken_at=snapshot.taken_at,
        sound=sound,
        seen_live=snapshot.grade in (Grade.SEEN_LIVE, Grade.PROVEN),
        proven=snapshot.grade == Grade.PROVEN,
        key_epoch=f"{snapshot.key_sequence} ({snapshot.key_mark})" if sound else None,
    )


def _settle(snapshot: Snapshot, holds: tuple[str, ...], now: datetime) -> bool:
    """Write holds and custody into the row; true where anything differed."""
    before = (snapshot.custody, snapshot.holds, snapshot.doomed_at)
    snapshot.holds = list(holds)
    if holds:
        snapshot.doomed_at = None
        pinned = any(not hold.startswith(TIERS) for hold in holds)
        snapshot.custody = Custody.PINNED if pinned else Custody.KEPT
    else:
        snapshot.doomed_at = snapshot.doomed_at or now
        snapshot.custody = Custody.DOOMED
    return before != (snapshot.custody, snapshot.holds, snapshot.doomed_at)


def _erase(due: list[Snapshot], mesh: Mesh, row: KeepRuleRow, rule: KeepRule, now: datetime) -> None:
    """The sealed octets go; the dated row stays and says which rule took them and when."""
    if not due:
        return
    for snapshot in due:
        snapshot.custody = Custody.GONE
        snapshot.gone_at = now
        snapshot.gone_because = (
            f"Keep rule {row.name}: {rule.in_words()}; marked {snapshot.doomed_at:%Y-%m-%d}"
        )
    Snapshot.objects.bulk_update(due, ["custody", "gone_at", "gone_because"], batch_size=500)
    keys = [snapshot.pk for snapshot in due]
    SealedBody.objects.filter(snapshot__in=keys).delete()
    SealedBody.objects.filter(arrival__snapshot__in=keys).delete()
    let_base_go(mesh, keys, now)
    journal.record("the round", "snapshots erased", mesh.code, now, count=len(due), rule=row.name)
