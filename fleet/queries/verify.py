"""Opening everything that lies sealed and comparing digests: what is damaged, by name."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from fleet import keyring
from fleet.models import BaseCopy, DataKey, InstallCode, Receiver, SealedBody, SealedPhoto
from fleet.queries.receivers import secret_of
from fleet.queries.replacing.photos import open_photo
from fleet.queries.sealed import open_base_copy, open_body, open_code, unwrapped
from fleet.snapshots import digests
from fleet.snapshots.packing import PackError
from fleet.snapshots.sealing import SealError

CHUNK = 200
ANOTHER = "it opens to another document"


@dataclass(frozen=True, slots=True)
class Looked:
    """One sealed row: what it is in words, and what is wrong with it (empty where nothing is).

    erased: its client's data key was destroyed, so that it cannot be opened is right.
    """

    what: str
    wrong: str
    erased: bool = False


def count_sealed() -> int:
    """How many rows verify will look at."""
    return sum(
        model.objects.count() for model in (DataKey, SealedBody, BaseCopy, InstallCode, SealedPhoto, Receiver)
    )


def verify() -> Iterator[Looked]:
    """Every sealed row, one after the other; memory stays flat."""
    for key in DataKey.objects.select_related("client").order_by("pk").iterator(chunk_size=CHUNK):
        yield _looked(f"data key of {key.client or 'the book'}", key, lambda key=key: _wrong_with_key(key))
    bodies = SealedBody.objects.select_related(
        "data_key",
        "base__data_key",
        "base__mesh",
        "snapshot__mesh",
        "arrival__snapshot__mesh",
        "tray_item__mesh",
    )
    for body in bodies.order_by("pk").iterator(chunk_size=CHUNK):
        yield _looked(named(body), body.data_key, lambda body=body: _wrong_with(body))
    for copy in _base_copies():
        name = f"{copy.base.mesh.code} packing base {copy.base.uid}, copy {copy.place}"
        yield _looked(name, copy.base.data_key, lambda copy=copy: _wrong_with_base(copy))
    codes = InstallCode.objects.select_related("data_key", "node__mesh")
    for row in codes.order_by("pk").iterator(chunk_size=CHUNK):
        name = f"{row.node.mesh.code} install code of {row.node.extended_address}"
        yield _looked(name, row.data_key, lambda row=row: _wrong_with_code(row))
    photos = SealedPhoto.objects.select_related("data_key", "proof__radio", "proof__replacement__mesh")
    for row in photos.order_by("pk").iterator(chunk_size=CHUNK):
        name = f"{row.proof.replacement.mesh.code} photo of {row.proof.radio.code} silenced"
        yield _looked(name, row.data_key, lambda row=row: _wrong_with_photo(row))
    for receiver in Receiver.objects.select_related("data_key").order_by("pk").iterator(chunk_size=CHUNK):
        name = f"secret of the receiver of events {receiver.label}"
        yield _looked(name, receiver.data_key, lambda receiver=receiver: _wrong_with_secret(receiver))


def _base_copies() -> Iterator[BaseCopy]:
    copies = BaseCopy.objects.select_related("base__mesh", "base__data_key", "base__root__data_key")
    yield from copies.order_by("base", "place").iterator(chunk_size=CHUNK)


def _looked(what: str, key: DataKey, wrong_with: Callable[[], str]) -> Looked:
    if key.wrapped is None:
        return Looked(what, "", erased=True)
    try:
        return Looked(what, wrong_with())
    except (SealError, PackError, keyring.KeyRingError) as error:
        return Looked(what, str(error))


def named(body: SealedBody) -> str:
    """The row in words that a person can act on."""
    if body.snapshot:
        return f"{body.snapshot.mesh.code} snapshot of {body.snapshot.taken_at:%Y-%m-%d %H:%M} UTC {body.snapshot.uid}"
    if body.arrival:
        return f"{body.arrival.snapshot.mesh.code} arrival of {body.arrival.at:%Y-%m-%d %H:%M} UTC"
    mesh = body.tray_item.mesh
    return f"{mesh.code if mesh else 'no mesh'} tray item {body.tray_item.uid}"


def _wrong_with_key(key: DataKey) -> str:
    unwrapped(key)
    return ""


def _wrong_with(body: SealedBody) -> str:
    plain = open_body(body)
    if body.snapshot:
        return "" if digests.digest_of_bytes(plain).hex() == body.snapshot.sha256 else ANOTHER
    owner = body.arrival or body.tray_item
    mark = digests.keyed_digest(keyring.load().digest_key, plain)
    return "" if mark == bytes(owner.body_mark) else ANOTHER


def _wrong_with_base(copy: BaseCopy) -> str:
    open_base_copy(copy.base, copy)
    return ""


def _wrong_with_code(row: InstallCode) -> str:
    open_code(row)
    return ""


def _wrong_with_photo(row: SealedPhoto) -> str:
    open_photo(row)
    return ""


def _wrong_with_secret(receiver: Receiver) -> str:
    secret_of(receiver)
    return ""
