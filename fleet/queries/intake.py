"""What the intake needs to know of a mesh before it judges a document."""

from datetime import datetime

from django.db.models import Max

from fleet.models import JUDGED_GRADES, EvidenceKind, KeepRule, Mesh, Snapshot
from fleet.planning.freshness import limit_hours
from fleet.snapshots import digests
from fleet.snapshots.checking import Before, Context
from fleet.snapshots.facts import SnapshotFacts

# A row keeps the shown part of a key mark: enough to tell the keys of one mesh apart.
MARK_OCTETS = 4


def rule_for(mesh: Mesh) -> KeepRule:
    """The mesh's own keep rule, else the book's default, else the usual numbers."""
    return mesh.keep_rule or KeepRule.objects.filter(is_default=True).first() or KeepRule(name="usual")


def keep_limit_hours(mesh: Mesh, now: datetime) -> float:
    """How old the newest sound copy may be: the agreement's promise, the keep rule and the join rate, the strictest."""
    agreement = mesh.site.agreement_on(now.date())
    promise = agreement.recovery_point_hours if agreement else rule_for(mesh).freshness_hours
    return limit_hours(promise, mesh.joins_per_month) or float(promise)


def context_for(mesh: Mesh, facts: SnapshotFacts, mark: bytes, now: datetime) -> Context:
    """What register and history say about this mesh at the time the copy was taken. mark: of the copy's own key."""
    return Context(
        received_at=now,
        head_address=mesh.head_address,
        extended_pan_id=mesh.extended_pan_id,
        key_mark=mark[:MARK_OCTETS],
        key_used_elsewhere=Mesh.objects.filter(key_digest=mark).exclude(pk=mesh.pk).exists,
        before=_before(mesh, facts.taken_at or now),
        highest_granted=_highest_granted(mesh, mark, facts.key_sequence),
    )


def _before(mesh: Mesh, taken_at: datetime) -> Before | None:
    """The last judged copy before this one; its nodes only where it is the newest, as the roll is that one's."""
    copies = mesh.snapshots.filter(grade__in=JUDGED_GRADES)
    last: Snapshot | None = copies.filter(taken_at__lte=taken_at).order_by("-taken_at", "-id").first()
    if last is None:
        return None
    addresses: frozenset[str] = frozenset()
    if not copies.filter(taken_at__gt=taken_at).exists():
        addresses = frozenset(mesh.roll)
    return Before(
        last.taken_at, last.outgoing_counter, last.key_sequence, bytes.fromhex(last.key_mark), addresses
    )


def _highest_granted(mesh: Mesh, mark: bytes, key_sequence: int) -> int | None:
    grants = mesh.counter_evidence.filter(kind__in=(EvidenceKind.RESTORE, EvidenceKind.DRILL))
    of_this_key = grants.filter(key_mark=digests.shown_key_mark(mark), key_sequence=key_sequence)
    return of_this_key.aggregate(highest=Max("value"))["highest"]
