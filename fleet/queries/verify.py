"""Opening everything that lies sealed and comparing digests: what is damaged, by name."""

from collections.abc import Iterator
from dataclasses import dataclass

from fleet import keyring
from fleet.models import BaseCopy, PackingBase, SealedBody
from fleet.queries.sealed import open_base_copy, open_body
from fleet.snapshots import digests
from fleet.snapshots.packing import PackError
from fleet.snapshots.sealing import SealError

CHUNK = 200


@dataclass(frozen=True, slots=True)
class Looked:
    """One sealed row: what it is in words, and what is wrong with it (empty where nothing is)."""

    what: str
    wrong: str


def count_sealed() -> int:
    """How many rows verify will look at."""
    return SealedBody.objects.count() + BaseCopy.objects.count()


def verify() -> Iterator[Looked]:
    """Every sealed row, one after the other; memory stays flat."""
    bodies = SealedBody.objects.select_related(
        "data_key",
        "base__data_key",
        "base__mesh",
        "snapshot__mesh",
        "arrival__snapshot__mesh",
        "tray_item__mesh",
    )
    for body in bodies.order_by("pk").iterator(chunk_size=CHUNK):
        yield Looked(named(body), _wrong_with(body))
    for base in (
        PackingBase.objects.select_related("mesh", "data_key").order_by("pk").iterator(chunk_size=CHUNK)
    ):
        for copy in base.copies.order_by("place"):
            yield Looked(
                f"{base.mesh.code} packing base {base.uid}, copy {copy.place}", _wrong_with_base(base, copy)
            )


def named(body: SealedBody) -> str:
    """The row in words that a person can act on."""
    if body.snapshot:
        return f"{body.snapshot.mesh.code} snapshot of {body.snapshot.taken_at:%Y-%m-%d %H:%M} UTC {body.snapshot.uid}"
    if body.arrival:
        return f"{body.arrival.snapshot.mesh.code} arrival of {body.arrival.at:%Y-%m-%d %H:%M} UTC"
    mesh = body.tray_item.mesh
    return f"{mesh.code if mesh else 'no mesh'} tray item {body.tray_item.uid}"


def _wrong_with(body: SealedBody) -> str:
    if body.data_key.wrapped is None:
        return ""  # destroyed on purpose: that it cannot be opened is right
    try:
        plain = open_body(body)
    except (SealError, PackError) as error:
        return str(error)
    if body.snapshot:
        return (
            ""
            if digests.digest_of_bytes(plain).hex() == body.snapshot.sha256
            else "it opens to another document"
        )
    owner = body.arrival or body.tray_item
    mark = digests.keyed_digest(keyring.load().digest_key, plain)
    return "" if mark == bytes(owner.body_mark) else "it opens to another document"


def _wrong_with_base(base: PackingBase, copy: BaseCopy) -> str:
    if base.data_key.wrapped is None:
        return ""
    try:
        open_base_copy(base, copy)
    except (SealError, PackError) as error:
        return str(error)
    return ""
