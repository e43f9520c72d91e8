"""Pins that people set and take off: a marked copy kept by hand until it is erased, and legal holds.

Each waits for the mesh's row, as the round does, so that no copy is erased while somebody pins it. What the pins
change shows at once: the keep rule is applied anew, without erasing anything.
"""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from fleet.models import Custody, Mesh, Pin, PinKind, Snapshot
from fleet.queries.pins import marked_of
from fleet.verbs import journal
from fleet.verbs.keep import apply_rule


class PinRefused(Exception):
    """Nothing was pinned; the sentence says why."""


@transaction.atomic
def keep_by_hand(copy: Snapshot, reason: str, by: str, now: datetime, kind: PinKind = PinKind.BY_HAND) -> Pin:
    """Keep one copy until somebody takes the pin off. Twice is once. Raises PinRefused where it is erased already."""
    mesh = _held(copy.mesh_id)
    copy = mesh.snapshots.get(pk=copy.pk)
    if copy.custody == Custody.GONE:
        raise PinRefused(
            f"This copy was erased on {copy.gone_at:%Y-%m-%d %H:%M} UTC; it can no longer be brought back."
        )
    pin, made = Pin.objects.get_or_create(
        mesh=mesh, snapshot=copy, kind=kind, ended_at=None, defaults={"reason": reason, "by": by, "at": now}
    )
    if made:
        what = "copy kept by hand" if kind == PinKind.BY_HAND else "legal hold on a copy"
        _settle(mesh, now)
        journal.record(by, what, mesh.code, now, copy=str(copy.uid), reason=reason)
    return pin


@transaction.atomic
def keep_all_marked(mesh: Mesh, reason: str, by: str, now: datetime) -> int:
    """Keep every copy of a mesh that is marked to go; how many those were."""
    mesh = _held(mesh.pk)
    copies: Sequence[Snapshot] = marked_of(mesh)
    pins = [Pin(mesh=mesh, snapshot=copy, reason=reason, by=by, at=now) for copy in copies]
    if pins:
        Pin.objects.bulk_create(pins, ignore_conflicts=True)
        _settle(mesh, now)
        journal.record(by, "all marked copies kept by hand", mesh.code, now, copies=len(pins), reason=reason)
    return len(pins)


@transaction.atomic
def hold_mesh(mesh: Mesh, reason: str, by: str, now: datetime) -> Pin:
    """A legal hold on every copy of a mesh, also on those still to come. Twice is once."""
    mesh = _held(mesh.pk)
    pin, made = Pin.objects.get_or_create(
        mesh=mesh,
        snapshot=None,
        kind=PinKind.LEGAL,
        ended_at=None,
        defaults={"reason": reason, "by": by, "at": now},
    )
    if made:
        _settle(mesh, now)
        journal.record(by, "legal hold on a mesh", mesh.code, now, reason=reason)
    return pin


@transaction.atomic
def end(pin: Pin, by: str, now: datetime) -> None:
    """Take a pin off. What nothing else holds is marked now, and the whole grace time begins."""
    mesh = _held(pin.mesh_id)
    if not Pin.objects.filter(pk=pin.pk, ended_at=None).update(ended_at=now, ended_by=by):
        return
    _settle(mesh, now)
    copy = {"copy": str(pin.snapshot.uid)} if pin.snapshot is not None else {}
    journal.record(by, f"{pin.get_kind_display().lower()}: ended", mesh.code, now, **copy)


def _held(mesh: int) -> Mesh:
    """The mesh with its home and rule, its row held until the transaction ends."""
    rows = Mesh.objects.select_for_update(of=("self",), no_key=True)
    return rows.select_related("site__client", "keep_rule").get(pk=mesh)


def _settle(mesh: Mesh, now: datetime) -> None:
    # No round comes by a mesh out of care: nothing of it may be marked, as nobody would look at the grace time.
    if mesh.in_care:
        apply_rule(mesh, now, last_round_complete=False)
