"""What the intake needs to know of a mesh before it judges a document."""

from dataclasses import dataclass
from datetime import datetime
from functools import partial

from django.db import connection
from django.db.models import Max

from fleet.models import JUDGED_GRADES, DataKey, EvidenceKind, KeepRule, Mesh, Snapshot
from fleet.models.mesh import WRITTEN_BY_SNAPSHOTS
from fleet.planning.freshness import limit_hours
from fleet.queries.by_hand import Columns, one_row
from fleet.queries.rule_book import rule_for
from fleet.snapshots import digests
from fleet.snapshots.checking import Before, Context
from fleet.snapshots.facts import SnapshotFacts

# A row keeps the shown part of a key mark: enough to tell the keys of one mesh apart.
MARK_OCTETS = 4
USUAL_HOURS = KeepRule(name="usual").freshness_hours

_MESH = Columns(Mesh, "m", "id", "uid", "site", "code", "joins_per_month", *WRITTEN_BY_SNAPSHOTS)
_KEY = Columns(DataKey, "d", "id", "uid", "ring_key", "wrapped")
_LAST = Columns(Snapshot, "s", "id", "taken_at", "key_mark", "key_sequence", "outgoing_counter")
_JUDGED = ", ".join(f"'{grade.value}'" for grade in JUDGED_GRADES)

_LOCK = "SELECT id FROM fleet_mesh WHERE id = %(mesh)s FOR UPDATE"
_KNOWN = f"""
    SELECT {_MESH.sql}, {_KEY.sql}, {_LAST.sql},
        (SELECT id FROM fleet_snapshot WHERE mesh_id = %(mesh)s AND meaning_mark = %(meaning)s),
        EXISTS (SELECT 1 FROM fleet_snapshot
            WHERE mesh_id = %(mesh)s AND grade IN ({_JUDGED}) AND taken_at > %(taken_at)s),
        EXISTS (SELECT 1 FROM fleet_mesh
            WHERE key_mark = %(shown)s AND key_digest = %(mark)s AND id <> %(mesh)s),
        COALESCE(
            (SELECT recovery_point_hours FROM sites_agreement
                WHERE site_id = m.site_id AND starts_on <= %(day)s
                AND (ends_on IS NULL OR ends_on >= %(day)s)
                ORDER BY starts_on DESC LIMIT 1),
            (SELECT freshness_hours FROM fleet_keeprule WHERE id = m.keep_rule_id),
            (SELECT r.freshness_hours FROM fleet_keeprule r
                JOIN fleet_clientkeeprule c ON c.rule_id = r.id JOIN sites_site h ON h.client_id = c.client_id
                WHERE h.id = m.site_id),
            (SELECT freshness_hours FROM fleet_keeprule WHERE is_default))
    FROM fleet_mesh m
    LEFT JOIN fleet_datakey d ON d.client_id = (
        SELECT h.client_id FROM sites_site h JOIN fleet_mesh n ON n.site_id = h.id WHERE n.id = %(mesh)s)
    LEFT JOIN fleet_snapshot s ON s.id = (
        SELECT id FROM fleet_snapshot
        WHERE mesh_id = %(mesh)s AND grade IN ({_JUDGED}) AND taken_at <= %(taken_at)s
        ORDER BY taken_at DESC, id DESC LIMIT 1)
    WHERE m.id = %(mesh)s
"""


@dataclass(frozen=True, slots=True)
class Known:
    """The mesh as it stands, locked, and what the book says about a document that has come for it.

    same: the number of the snapshot that says the same. is_newest: no judged copy was taken later.
    limit_hours: how old the newest sound copy may be.
    """

    mesh: Mesh
    data_key: DataKey | None
    same: int | None
    is_newest: bool
    limit_hours: float
    context: Context


def known(mesh: Mesh, facts: SnapshotFacts, meaning: bytes, mark: bytes, now: datetime) -> Known:
    """Lock the mesh's row, so that copies for one mesh queue up, and read all that the intake asks at once.

    meaning: digest of what the document says; mark: that of its network key. Call inside a transaction.
    """
    given = {
        "mesh": mesh.pk,
        "meaning": meaning,
        "mark": mark,
        "shown": digests.shown_key_mark(mark),
        "taken_at": connection.ops.adapt_datetimefield_value(facts.taken_at or now),
        "day": connection.ops.adapt_datefield_value(now.date()),
    }
    # A statement of its own: one that waits for the lock does not see what the push before it has written.
    if connection.features.has_select_for_update:
        one_row(_LOCK, given)
    values = one_row(_KNOWN, given)
    row = _MESH.row(values) if values else None
    if values is None or row is None:
        raise Mesh.DoesNotExist(f"Mesh {mesh.code} has left the book.")
    data_key, last = _KEY.row(values), _LAST.row(values)
    same, newer, shared, promise = values
    return Known(
        mesh=row,
        data_key=data_key,
        same=same,
        is_newest=not newer,
        limit_hours=_limit(promise or USUAL_HOURS, row.joins_per_month),
        context=Context(
            received_at=now,
            head_address=row.head_address,
            extended_pan_id=row.extended_pan_id,
            key_mark=mark[:MARK_OCTETS],
            key_used_elsewhere=bool(shared),
            # The roll is that of the newest copy, so an older document is not held against it.
            before=_before(last, row.roll if not newer else {}) if last else None,
            highest_granted=partial(_highest_granted, row, mark, facts.key_sequence),
        ),
    )


def _highest_granted(mesh: Mesh, mark: bytes, key_sequence: int) -> int | None:
    """The ledger grows with every copy, so it is asked only where a counter has jumped."""
    grants = mesh.counter_evidence.filter(kind__in=(EvidenceKind.RESTORE, EvidenceKind.DRILL))
    of_this_key = grants.filter(key_mark=digests.shown_key_mark(mark), key_sequence=key_sequence)
    highest: int | None = of_this_key.aggregate(highest=Max("value"))["highest"]
    return highest


def _before(last: Snapshot, roll: dict[str, str | None]) -> Before:
    mark = bytes.fromhex(last.key_mark)
    return Before(last.taken_at, last.outgoing_counter, last.key_sequence, mark, frozenset(roll))


def keep_limit_hours(mesh: Mesh, now: datetime) -> float:
    """How old the newest sound copy may be: the agreement's promise, the keep rule and the join rate, the strictest."""
    agreement = mesh.site.agreement_on(now.date())
    promise = agreement.recovery_point_hours if agreement else rule_for(mesh).freshness_hours
    return _limit(promise, mesh.joins_per_month)


def _limit(promise: int, joins_per_month: float | None) -> float:
    return limit_hours(promise, joins_per_month) or float(promise)
