"""Keeping years of near-equal copies small: older ones are packed against one base document of their mesh.

Packing against a base takes milliseconds, so it is the round's work, not the intake's. The newest sound copy
stays packed alone; a body is only replaced after the new octets have opened to the same document.
"""

import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Q, QuerySet

from fleet.models import BaseCopy, Mesh, PackingBase, SealedBody, Snapshot
from fleet.queries.readiness import restorable
from fleet.queries.sealed import (
    OpenedBases,
    open_base,
    open_base_copy,
    open_body,
    place_of,
    place_of_base,
    plain_data_key,
)
from fleet.snapshots import packing, sealing
from fleet.snapshots.digests import digest_of_bytes
from fleet.verbs import journal
from fleet.verbs.seal import NONCE_OCTETS, data_key_for

# A document that takes more than this share of itself packed alone is of another time than its base.
DRIFTED = 0.25
# So many copies are packed against one base; then a new one begins, and the latest of them are closer to that.
SERVES, MOVE_ON = 15, 5
MOST_A_PASS = 500


@dataclass(frozen=True, slots=True)
class Repacked:
    """How many bodies were packed anew, and the octets they took before and take now."""

    bodies: int
    before: int
    after: int


@transaction.atomic(savepoint=False)
def repack(mesh: Mesh, now: datetime) -> Repacked:
    """Pack the mesh's older copies against its base; begin a new base where there is none, or it has done its part."""
    newest = restorable(mesh)
    if newest is None:
        return Repacked(0, 0, 0)
    bodies = list(_whole(mesh).exclude(snapshot=newest).order_by("snapshot__taken_at")[:MOST_A_PASS])
    if not bodies:
        return Repacked(0, 0, 0)
    opened = OpenedBases()
    base = _newest_base(mesh.packing_bases.all()) or _begin(mesh, newest, now)
    before = after = 0
    for body in bodies:
        before += len(body.sealed)
        plain = open_body(body, opened)
        packed = packing.pack(plain, opened.open(base))
        if base.source_id != newest.pk and _is_done(base, body, packed):
            old, base = base, _begin(mesh, newest, now)
            _move_on(old, base, opened)
            packed = packing.pack(plain, opened.open(base))
        _replace(body, plain, packed, base, opened)
        after += len(body.sealed)
    return Repacked(len(bodies), before, after)


def _is_done(base: PackingBase, whole: SealedBody, packed: bytes) -> bool:
    return len(packed) > DRIFTED * len(whole.sealed) or base.bodies.count() >= SERVES


def _move_on(old: PackingBase, base: PackingBase, opened: OpenedBases) -> None:
    latest_first = old.bodies.select_related("snapshot__mesh", "data_key").order_by("-snapshot__taken_at")
    for body in latest_first[:MOVE_ON]:
        plain = open_body(body, opened)
        packed = packing.pack(plain, opened.open(base))
        if len(packed) + sealing.OVERHEAD_OCTETS < len(body.sealed):
            _replace(body, plain, packed, base, opened)


@transaction.atomic(savepoint=False)
def let_base_go(mesh: Mesh, gone: list[int], now: datetime) -> None:
    """When the snapshot whose octets are a base is erased, its octets must go too: pack anew what needs them."""
    staying = mesh.packing_bases.exclude(source__in=gone)
    if leaving := list(mesh.packing_bases.filter(source__in=gone)):
        _let_go(leaving, staying, mesh, now, gone)
    if idle := list(staying.filter(bodies=None, leaves=None)):
        newest = restorable(mesh)
        of_use = newest.pk if newest else None
        PackingBase.objects.filter(pk__in=[base.pk for base in idle if base.source_id != of_use]).delete()


def _let_go(
    leaving: list[PackingBase],
    staying: QuerySet[PackingBase],
    mesh: Mesh,
    now: datetime,
    gone: list[int],
) -> None:
    for base in leaving:
        if base.root_id is None:
            _root_anew(list(staying.filter(root=base).order_by("pk")))
    near = (
        "snapshot__mesh",
        "data_key",
        "base__mesh",
        "base__data_key",
        "base__root__mesh",
        "base__root__data_key",
    )
    # By number: a join from the bases would have the database read every sealed body of the book.
    keys = [base.pk for base in leaving]
    bodies = list(SealedBody.objects.filter(base__in=keys).select_related(*near))
    if bodies:
        newest = restorable(mesh)
        serving = _newest_base(staying) or (_begin(mesh, newest, now, gone) if newest else None)
        opened = OpenedBases()
        for body in bodies:
            plain = open_body(body, opened)
            packed = packing.pack(plain, opened.open(serving) if serving else None)
            _replace(body, plain, packed, serving if packing.needs_base(packed) else None, opened)
    # Leaves before roots: no base may be without the one that it is packed against.
    bases = PackingBase.objects.filter(pk__in=keys)
    bases.exclude(root=None).delete()
    bases.delete()


def _root_anew(leaves: list[PackingBase]) -> None:
    """The first of these bases becomes whole, and the others are packed against it."""
    plain = {leaf.pk: open_base(leaf) for leaf in leaves}
    for leaf in leaves:
        leaf.root = None if leaf is leaves[0] else leaves[0]
        leaf.save(update_fields=["root"])
        packed = packing.pack(plain[leaf.pk], plain[leaves[0].pk] if leaf.root else None)
        for copy in leaf.copies.all():
            copy.sealed = _sealed_base(leaf, copy.place, packed)
            copy.save(update_fields=["sealed"])


@transaction.atomic
def mend_bases(by: str, now: datetime) -> list[str]:
    """Write every damaged copy of a base anew from its twin; the names of those mended."""
    mended = []
    for base in PackingBase.objects.select_related("mesh", "data_key").exclude(data_key__wrapped=None):
        for copy in base.copies.all():
            if _is_whole(base, copy):
                continue
            try:
                plain = open_base(base)
            except sealing.SealError:
                continue  # neither copy opens: nothing to mend from
            packed = packing.pack(plain, open_base(base.root) if base.root else None)
            copy.sealed = _sealed_base(base, copy.place, packed)
            copy.save(update_fields=["sealed"])
            mended.append(f"{base.mesh.code} packing base {base.uid}, copy {copy.place}")
    if mended:
        journal.record(by, "packing bases mended", "", now, count=len(mended))
    return mended


def _is_whole(base: PackingBase, copy: BaseCopy) -> bool:
    try:
        open_base_copy(base, copy)
    except (sealing.SealError, packing.PackError):
        return False
    return True


def _newest_base(bases: QuerySet[PackingBase]) -> PackingBase | None:
    return (
        bases.select_related("mesh", "data_key", "root__mesh", "root__data_key")
        .order_by("-made_at", "-id")
        .first()
    )


def _whole(mesh: Mesh) -> QuerySet[SealedBody]:
    mine = Q(snapshot__mesh=mesh) & Q(base=None)
    return SealedBody.objects.filter(mine).select_related("snapshot__mesh", "data_key")


def _replace(
    body: SealedBody, plain: bytes, packed: bytes, base: PackingBase | None, opened: OpenedBases
) -> None:
    """Seal the new form, and let it stand only when it opens to the very document that it replaces."""
    body.base = base
    body.sealed = sealing.seal(
        plain_data_key(body.data_key), packed, place_of(body, body.data_key), os.urandom(NONCE_OCTETS)
    )
    if open_body(body, opened) != plain:
        raise packing.PackError(
            f"Sealed body {body.uid} did not open to the same document; it stays as it was."
        )
    body.save(update_fields=["sealed", "base"])


def _begin(mesh: Mesh, source: Snapshot, now: datetime, gone: Sequence[int] = ()) -> PackingBase:
    """A base with this snapshot's octets, packed against the mesh's whole base where it is still near to that."""
    plain = open_body(source.sealed_body)
    packed = packing.pack(plain)
    root = _newest_base(mesh.packing_bases.filter(root=None).exclude(source__in=gone))
    if root is not None:
        against_root = packing.pack(plain, open_base(root))
        root, packed = (root, against_root) if len(against_root) < DRIFTED * len(packed) else (None, packed)
    base = PackingBase.objects.create(
        mesh=mesh,
        source=source,
        root=root,
        data_key=data_key_for(mesh, now),
        sha256=digest_of_bytes(plain).hex(),
        made_at=now,
    )
    BaseCopy.objects.bulk_create(
        BaseCopy(base=base, place=place, sealed=_sealed_base(base, place, packed)) for place in (1, 2)
    )
    return base


def _sealed_base(base: PackingBase, place: int, packed: bytes) -> bytes:
    key = plain_data_key(base.data_key)
    return sealing.seal(key, packed, place_of_base(base, place), os.urandom(NONCE_OCTETS))
