"""Applying the keep rule to one mesh's dated copies: hold, mark, take the mark off, erase after the grace time."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.models import Custody, Mesh, SealedBody, Snapshot
from fleet.models import KeepRule as KeepRuleRow
from fleet.planning.keeping import KeepRule, keep
from fleet.planning.marking import marks
from fleet.queries.keeping import history_of, kept_copies
from fleet.queries.rule_book import numbers_of, rule_for
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


@transaction.atomic(savepoint=False)
def apply_rule(
    mesh: Mesh,
    now: datetime,
    last_round_complete: bool,
    counted_from: Callable[[datetime], datetime] | None = None,
) -> KeepReport:
    """Bring custody and holds of the mesh's copies in line with its keep rule, in the home's own time zone.

    The caller holds the mesh's row, so that nobody pins a copy while it is erased.
    counted_from: from when the grace time of a mark counts, where some of the time since is in doubt.
    """
    row = rule_for(mesh)
    rule = numbers_of(row)
    rows = list(kept_copies([mesh]))
    history = history_of(mesh, rows)
    held = keep(history.copies, rule, history.zone)
    marked_at = history.marked_at
    if counted_from is not None:
        marked_at = {pk: counted_from(at) for pk, at in marked_at.items()}
    due = marks(history.copies, held, marked_at, now, rule, last_round_complete=last_round_complete)
    changed = [snapshot for snapshot in rows if _settle(snapshot, held.get(snapshot.pk, ()), now)]
    Snapshot.objects.bulk_update(changed, FIELDS, batch_size=500)
    gone = set(due.erase)
    _erase([snapshot for snapshot in rows if snapshot.pk in gone], mesh, row, rule, now)
    return KeepReport(len(due.mark), len(due.unmark), len(due.erase))


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
