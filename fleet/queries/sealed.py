"""Opening what lies sealed. Callers who show what they open write a journal line; see verbs."""

from fleet import keyring
from fleet.models import BaseCopy, DataKey, InstallCode, PackingBase, SealedBody
from fleet.snapshots import digests, packing, sealing

# Nothing the intake takes is larger; an opened document that claims more is damage.
LARGEST = 64 * 1024 * 1024


class Erased(sealing.SealError):
    """The client's data key was destroyed on purpose: nothing under it opens, and nothing new is sealed."""


def insist_whole(row: DataKey) -> None:
    """Raises Erased where the data key was destroyed."""
    if row.wrapped is None:
        raise Erased(
            f"The client was erased on {row.destroyed_at:%Y-%m-%d}: the data key was destroyed, so no document of "
            "the client can be opened, and none is taken in any more."
        )


def plain_data_key(row: DataKey) -> bytes:
    """The 32 octets of a data key, even where one bit of its row is flipped; raises as unwrapped does."""
    try:
        return unwrapped(row)
    except Erased:
        raise
    except sealing.SealError:
        return unwrapped(mended(row))


def unwrapped(row: DataKey) -> bytes:
    """The data key as its row has it. Erased where it was destroyed, SealError where damaged, or KeyRingError."""
    insist_whole(row)
    return sealing.unwrap(_wrapping_key(row), bytes(row.wrapped))


def mended(row: DataKey) -> DataKey:
    """The row with its one flipped bit put right; not yet written. Raises SealError where more is wrong."""
    row.wrapped = sealing.mended(_wrapping_key(row), bytes(row.wrapped))
    return row


def _wrapping_key(row: DataKey) -> bytes:
    ring = keyring.load()
    if row.ring_key not in ring.wrapping:
        row.refresh_from_db(
            fields=["ring_key", "wrapped"]
        )  # the ring may have been renewed since it was read
        insist_whole(row)
    return ring.wrapping_key(row.ring_key)


def place_of(body: SealedBody, data_key: DataKey) -> bytes:
    """The associated data that binds sealed octets to their row, so that moved octets do not open."""
    owner = body.snapshot or body.arrival or body.tray_item
    mesh = body.arrival.snapshot.mesh if body.arrival is not None else owner.mesh
    kind = type(owner).__name__.lower()
    return sealing.associated_data(kind, str(data_key.uid), str(mesh.uid) if mesh else "", str(body.uid))


def place_of_base(base: PackingBase, place: int) -> bytes:
    """The same for one of the two copies of a packing base."""
    return sealing.associated_data("base", str(base.data_key.uid), str(base.mesh.uid), str(base.uid), place)


def place_of_code(row: InstallCode) -> bytes:
    """The same for an install code: it opens for the device that it was entered for and no other."""
    node = row.node
    return sealing.associated_data(
        "install code", str(row.data_key.uid), str(node.mesh.uid), node.extended_address, str(row.uid)
    )


def open_code(row: InstallCode) -> bytes:
    """An install code without its check; SealError where its octets are damaged, out of place, or another code's."""
    code = sealing.open_sealed(plain_data_key(row.data_key), bytes(row.sealed), place_of_code(row))
    if digests.code_mark(keyring.load().digest_key, code) != bytes(row.mark):
        raise sealing.SealError("it opens to another code")
    return code


def open_body(body: SealedBody, bases: "OpenedBases | None" = None) -> bytes:
    """The document exactly as it came; SealError or PackError where the octets are damaged or out of place."""
    key = plain_data_key(body.data_key)
    packed = sealing.open_sealed(key, bytes(body.sealed), place_of(body, body.data_key))
    opened = bases.open if bases is not None else open_base
    return packing.unpack(packed, opened(body.base) if body.base else None, LARGEST)


class OpenedBases:
    """Bases for somebody who opens many bodies of one mesh: each is opened once, and forgotten with this."""

    def __init__(self) -> None:
        self._plain: dict[int, bytes] = {}

    def open(self, base: PackingBase) -> bytes:
        """The same as open_base."""
        if base.pk not in self._plain:
            self._plain[base.pk] = open_base(base)
        return self._plain[base.pk]


def open_base(base: PackingBase) -> bytes:
    """A base's document from whichever copy is whole; SealError where neither is."""
    for copy in base.copies.order_by("place"):
        try:
            return open_base_copy(base, copy)
        except Erased:
            raise
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
