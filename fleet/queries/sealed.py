"""Opening what lies sealed. Callers who show what they open write a journal line; see verbs."""

from fleet import keyring
from fleet.models import BaseCopy, DataKey, PackingBase, SealedBody
from fleet.snapshots import digests, packing, sealing

# Nothing the intake takes is larger; an opened document that claims more is damage.
LARGEST = 64 * 1024 * 1024


def plain_data_key(row: DataKey) -> bytes:
    """The 32 octets of a data key, unwrapped with the ring; SealError where it was destroyed or does not fit."""
    if row.wrapped is None:
        raise sealing.SealError("The client's data key was destroyed; nothing sealed under it can be opened.")
    return sealing.unwrap(keyring.load().wrapping_key(row.ring_key), bytes(row.wrapped))


def place_of(body: SealedBody, data_key: DataKey) -> bytes:
    """The associated data that binds sealed octets to their row, so that moved octets do not open."""
    owner = body.snapshot or body.arrival or body.tray_item
    mesh = body.arrival.snapshot.mesh if body.arrival is not None else owner.mesh
    kind = type(owner).__name__.lower()
    return sealing.associated_data(kind, str(data_key.uid), str(mesh.uid) if mesh else "", str(body.uid))


def place_of_base(base: PackingBase, place: int) -> bytes:
    """The same for one of the two copies of a packing base."""
    return sealing.associated_data("base", str(base.data_key.uid), str(base.mesh.uid), str(base.uid), place)


def open_body(body: SealedBody) -> bytes:
    """The document exactly as it came; SealError or PackError where the octets are damaged or out of place."""
    key = plain_data_key(body.data_key)
    packed = sealing.open_sealed(key, bytes(body.sealed), place_of(body, body.data_key))
    return packing.unpack(packed, open_base(body.base) if body.base else None, LARGEST)


def open_base(base: PackingBase) -> bytes:
    """A base's document from whichever copy is whole; SealError where neither is."""
    for copy in base.copies.order_by("place"):
        try:
            return open_base_copy(base, copy)
        except (sealing.SealError, packing.PackError):
            continue
    raise sealing.SealError(f"Both copies of packing base {base.uid} are damaged.")


def open_base_copy(base: PackingBase, copy: BaseCopy) -> bytes:
    """One copy's document; SealError or PackError where it is damaged."""
    packed = sealing.open_sealed(
        plain_data_key(base.data_key), bytes(copy.sealed), place_of_base(base, copy.place)
    )
    plain = packing.unpack(packed, open_base(base.root) if base.root else None, LARGEST)
    if digests.digest_of_bytes(plain).hex() != base.sha256:
        raise sealing.SealError(f"Copy {copy.place} of packing base {base.uid} opens to another document.")
    return plain
