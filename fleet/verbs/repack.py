"""Keeping years of near-equal copies small: older ones are packed against one base document of their mesh.

Packing against a base takes milliseconds, so it is the round's work, not the intake's. The newest sound copy
stays packed alone; a body is only replaced after the new octets have opened to the same document.
"""

import os
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from django.db import transaction
from django.db.models import Q, QuerySet

from fleet.models import JUDGED_GRADES, BaseCopy, Custody, Mesh, PackingBase, SealedBody, Snapshot
from fleet.queries.sealed import open_base, open_base_copy, open_body, place_of, place_of_base, plain_data_key
from fleet.snapshots import packing, sealing
from fleet.verbs import journal
from fleet.verbs.seal import NONCE_OCTETS, data_key_for

# A copy that still takes more than this share of the document packed alone calls for a base of its own time.
DRIFTED = 0.25
MOST_A_PASS = 500


@dataclass(frozen=True, slots=True)
class Repacked:
    """How many bodies were packed anew, and the octets they took before and take now."""

    bodies: int
    before: int
    after: int


@transaction.atomic
def repack(mesh: Mesh, now: datetime) -> Repacked:
    """Pack the mesh's older copies against its base; begin a new base where the old one is gone or has drifted."""
    newest = newest_sound(mesh)
    if newest is None:
        return Repacked(0, 0, 0)
    bodies = list(_whole(mesh).exclude(snapshot=newest).order_by("snapshot__taken_at")[:MOST_A_PASS])
    if not bodies:
        return Repacked(0, 0, 0)
    base = mesh.packing_bases.order_by("-made_at", "-id").first() or _begin(mesh, newest, now)
    plain_base = open_base(base)
    before = after = 0
    for body in bodies:
        before += len(body.sealed)
        packed, plain = _packed(body, plain_base)
        if len(packed) > DRIFTED * len(packing.pack(plain)) and base.source_id != newest.pk:
            base = _begin(mesh, newest, now)
            plain_base = open_base(base)
            packed, _ = _packed(body, plain_base)
        _replace(body, packed, base)
        after += len(body.sealed)
    return Repacked(len(bodies), before, after)


@transaction.atomic
def let_base_go(mesh: Mesh, gone: list[int], now: datetime) -> None:
    """When the snapshot whose octets are the base is erased, its octets must go too: pack the rest anew."""
    for base in mesh.packing_bases.filter(source__in=gone):
        newest = newest_sound(mesh)
        fresh = _begin(mesh, newest, now) if newest else None
        plain_fresh = open_base(fresh) if fresh else None
        for body in base.bodies.all():
            packed = packing.pack(open_body(body), plain_fresh)
            _replace(body, packed, fresh if packing.needs_base(packed) else None)
        base.delete()
    mesh.packing_bases.filter(bodies=None).exclude(source__in=_standing(mesh)).delete()


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
            copy.sealed = _sealed_base(base, copy.place, packing.pack(plain))
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


def newest_sound(mesh: Mesh) -> Snapshot | None:
    """The copy that must never need another row to be read."""
    copies = mesh.snapshots.filter(grade__in=JUDGED_GRADES).exclude(custody=Custody.GONE)
    return copies.order_by("-taken_at", "-id").first()


def _standing(mesh: Mesh) -> list[int]:
    newest = newest_sound(mesh)
    return [newest.pk] if newest else []


def _whole(mesh: Mesh) -> QuerySet[SealedBody]:
    mine = Q(snapshot__mesh=mesh) & Q(base=None)
    return SealedBody.objects.filter(mine).select_related("snapshot__mesh", "data_key")


def _packed(body: SealedBody, plain_base: bytes) -> tuple[bytes, bytes]:
    plain = open_body(body)
    return packing.pack(plain, plain_base), plain


def _replace(body: SealedBody, packed: bytes, base: PackingBase | None) -> None:
    """Seal the new form, and let it stand only when it opens to the very document it replaces."""
    plain = open_body(body)
    body.base = base
    body.sealed = sealing.seal(
        plain_data_key(body.data_key), packed, place_of(body, body.data_key), os.urandom(NONCE_OCTETS)
    )
    if open_body(body) != plain:
        raise packing.PackError(
            f"Sealed body {body.uid} did not open to the same document; it stays as it was."
        )
    body.save(update_fields=["sealed", "base"])


def _begin(mesh: Mesh, source: Snapshot, now: datetime) -> PackingBase:
    plain = open_body(source.sealed_body)
    data_key = data_key_for(mesh, now)
    base = PackingBase.objects.create(
        mesh=mesh, source=source, data_key=data_key, sha256=sha256(plain).hexdigest(), made_at=now
    )
    packed = packing.pack(plain)
    BaseCopy.objects.bulk_create(
        BaseCopy(base=base, place=place, sealed=_sealed_base(base, place, packed)) for place in (1, 2)
    )
    return base


def _sealed_base(base: PackingBase, place: int, packed: bytes) -> bytes:
    key = plain_data_key(base.data_key)
    return sealing.seal(key, packed, place_of_base(base, place), os.urandom(NONCE_OCTETS))
