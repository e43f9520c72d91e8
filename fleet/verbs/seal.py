"""Putting documents away: packed, sealed under the client's data key, bound to their row."""

import os
from datetime import datetime

from fleet import keyring
from fleet.models import Arrival, DataKey, Mesh, SealedBody, Snapshot, TrayItem
from fleet.queries.sealed import place_of, plain_data_key
from fleet.snapshots import packing, sealing

NONCE_OCTETS = 12


def data_key_for(mesh: Mesh | None, now: datetime) -> DataKey:
    """The data key of the mesh's client, or the book's own for a document without a mesh; made on first use.

    Of a client who was erased it is the destroyed one: insist_whole says so.
    """
    client = mesh.site.client if mesh else None
    row = DataKey.objects.filter(client=client).first()
    if row is not None:
        return row
    ring = keyring.load()
    fresh = sealing.new_data_key(os.urandom(32))
    wrapped = sealing.wrap(ring.wrapping_key(ring.active), fresh)
    # Two first documents of one client may race: the unique row wins, the other key is never used.
    row, made = DataKey.objects.get_or_create(
        client=client, defaults={"ring_key": ring.active, "wrapped": wrapped, "made_at": now}
    )
    if made and ring.active not in keyring.load().wrapping:
        # The ring was renewed since it was read above, and no longer holds the key that wrapped this one.
        ring = keyring.load()
        row.ring_key, row.wrapped = ring.active, sealing.wrap(ring.wrapping_key(ring.active), fresh)
        row.save(update_fields=["ring_key", "wrapped"])
    return row


def put_away(owner: Snapshot | Arrival | TrayItem, body: bytes, data_key: DataKey) -> SealedBody:
    """Seal the octets for this row. Call inside the transaction that makes the row."""
    row = sealed(owner, body, data_key)
    row.save(force_insert=True)
    return row


def sealed(owner: Snapshot | Arrival | TrayItem, body: bytes, data_key: DataKey) -> SealedBody:
    """The same row for a verb that writes it together with others."""
    row = SealedBody(data_key=data_key)
    setattr(row, {Snapshot: "snapshot", Arrival: "arrival", TrayItem: "tray_item"}[type(owner)], owner)
    row.sealed = sealing.seal(
        plain_data_key(data_key), packing.pack(body, None), place_of(row, data_key), os.urandom(NONCE_OCTETS)
    )
    return row
