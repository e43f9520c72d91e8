"""Erasing a client by destroying the data key: cryptographic erase as NIST SP 800-88 has it.

Everything of the client's documents lies sealed under one key. With the key its octets go too, and what the rows
say in clear about devices and people's habits. Names, homes, agreements, the counter ledger, the journal and the
dates and digests of the copies stay: they are the firm's own records. It cannot be undone.

An older copy of the database still holds the key, wrapped. verbs.renew_ring is what makes that useless; what
remains until then is written down with the act (see queries.erasure).
"""

from datetime import datetime

from django.db import transaction
from django.db.models import Q

from fleet import keyring
from fleet.models import (
    CounterEvidence,
    Custody,
    DataKey,
    Erasure,
    EvidenceKind,
    Mesh,
    Snapshot,
    TrayItem,
    TrayReason,
)
from fleet.queries.erasure import holds_on
from fleet.verbs import journal
from fleet.verbs.erase_rows import clear_rows, delete_sealed, end_care, end_visits
from fleet.verbs.two_people import are_one
from sites.models import Client

GIVEN = (EvidenceKind.RESTORE, EvidenceKind.DRILL)
"""Lines of the ledger that stand for a document that left the book."""


class EraseRefused(Exception):
    """Nothing was erased; the sentence says why and what would be right."""


@transaction.atomic
def erase_client(client: Client, reason: str, by: str, second: str, now: datetime) -> Erasure:
    """Destroy the client's data key and all that lies under it, in one step. Raises EraseRefused or KeyRingError.

    by and second are two people; both names go into the row and the journal.
    """
    client = Client.objects.select_for_update(no_key=True).get(pk=client.pk)
    reason = reason.strip()
    _insist(client, reason, by, second)
    by, second = by.strip(), second.strip()
    # The intake holds a mesh while it takes a document in: whoever waits for these finds the key destroyed.
    meshes = list(Mesh.objects.select_for_update().filter(site__client=client).order_by("pk"))
    key, ring_keys = _destroyed_key(client, now)
    copies = Snapshot.objects.filter(mesh__in=meshes).exclude(custody=Custody.GONE)
    row = Erasure(
        client=client,
        at=now,
        by=by[:120],
        second=second[:120],
        reason=reason[:200],
        copies=[_told(copy) for copy in copies.select_related("mesh").order_by("mesh__code", "taken_at")],
        ring_keys=ring_keys,
        remains=_remains(client, meshes),
    )
    row.erased = {
        "snapshots": len(row.copies),
        **delete_sealed(key),
        **clear_rows(meshes, now, by),
        **end_care(meshes, now),
    }
    end_visits(client, now)
    copies.update(
        custody=Custody.GONE, holds=[], gone_at=now, gone_because=f"Erased with the client: {reason}"[:200]
    )
    row.save()
    client.erased_at = now
    client.save(update_fields=["erased_at"])
    journal.record(by, "client erased", str(client.uid), now, second=second, reason=reason, **row.erased)
    return row


def _insist(client: Client, reason: str, by: str, second: str) -> None:
    if client.erased_at is not None:
        raise EraseRefused(f"client: {client.name} was erased on {client.erased_at:%Y-%m-%d} already.")
    if held := holds_on(client):
        raise EraseRefused(f"client: a legal hold stands {'; another '.join(held)}. Lift it first.")
    if strays := TrayItem.objects.filter(
        mesh__site__client=client, cleared_at=None, reason=TrayReason.WRONG_HOME
    ).count():
        are = "document waits" if strays == 1 else "documents wait"
        raise EraseRefused(
            f"tray: {strays} {are} that was sent for this client and belongs to another mesh. Send it there, or "
            "clear it, first."
        )
    if not reason:
        raise EraseRefused("reason: nothing was written; say why the client is erased.")
    if not by.strip() or not second.strip():
        raise EraseRefused("second: two people must do this; name both.")
    if are_one(by, second):
        raise EraseRefused("second: the second person must be somebody other than the one who asks.")


def _destroyed_key(client: Client, now: datetime) -> tuple[DataKey, list[str]]:
    """The data key without its octets, and the names of the ring's keys that may have wrapped it.

    A client who never had one gets a destroyed one, so that none is ever made.
    """
    key = DataKey.objects.select_for_update().filter(client=client).first()
    if key is None:
        return DataKey.objects.create(client=client, ring_key="", made_at=now, destroyed_at=now), []
    key.wrapped, key.destroyed_at = None, now
    key.save(update_fields=["wrapped", "destroyed_at"])
    return key, sorted({key.ring_key, *keyring.load().wrapping})


def _told(copy: Snapshot) -> dict[str, str]:
    return {"mesh": copy.mesh.code, "taken_at": copy.taken_at.isoformat(), "sha256": copy.sha256}


def _remains(client: Client, meshes: list[Mesh]) -> dict[str, int]:
    """What this act cannot reach, counted. Sheets lie a room above and are reached from the home."""
    astray = Q(reason__in=(TrayReason.WRONG_HOME, TrayReason.NO_MESH), cleared_at=None)
    given_out = CounterEvidence.objects.filter(mesh__in=meshes, kind__in=GIVEN)
    return {
        "sheets": sum(site.sheets.count() for site in client.sites.all()),
        "documents_given_out": given_out.count(),
        "documents_in_other_trays": TrayItem.objects.filter(astray).exclude(mesh__in=meshes).count(),
    }
