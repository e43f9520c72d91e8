"""What an erasure took and what remains: facts from its row and from the key ring of today, in sentences.

The command, the page and the certificate say the same. What remains goes away with time and work, so it is worked
out anew each time it is shown.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from fleet import keyring
from fleet.models import Custody, Erasure, Mesh, Pin, PinKind, Snapshot, TrayItem
from fleet.planning.leaving import Step
from sites.models import Client

METHOD = (
    "Cryptographic erase (NIST SP 800-88): the data key under which all documents lay sealed was destroyed."
)
WENT = {
    "snapshots": ("snapshot", "snapshots"),
    "sealed_documents": ("sealed document", "sealed documents"),
    "packing_bases": ("packing base", "packing bases"),
    "install_codes": ("install code", "install codes"),
    "tray_documents": ("document cleared from the tray", "documents cleared from the tray"),
    "push_tokens": ("push token ended", "push tokens ended"),
    "meshes": ("mesh out of care", "meshes out of care"),
    "device_names": ("device whose names were removed", "devices whose names were removed"),
    "findings": ("finding", "findings"),
}


@dataclass(frozen=True, slots=True)
class Remainder:
    """One thing that the erasure could not reach: what it is, where it lies, until when, and what to do about it."""

    what: str
    where: str
    until: str
    act: str = ""


_COUNTED = {
    "documents_given_out": Remainder(
        what="{} given out: to restore a radio, to hand back, or on paper.",
        where="With whoever the journal names; they hold the network key, in clear or under a passphrase.",
        until="they are destroyed, or the network key is changed",
        act="Ask for them to be destroyed, and have the network key changed.",
    ),
    "sheets": Remainder(
        what="{} of paper issued.",
        where="In the archive and at the home; sheets name rooms and devices, never a key.",
        until="somebody destroys them",
        act="Keep those that the law asks for and destroy the others.",
    ),
    "documents_in_other_trays": Remainder(
        what="{} that may be of this client.",
        where="In the tray, sent for another home or for none, sealed under another key.",
        until="they are cleared from the tray and erased there",
        act="Look through the tray.",
    ),
}
"""What the row's `remains` counts, gravest first."""

_RECORDS = Remainder(
    what="The firm's own records.",
    where=(
        "In the book: name, homes, contacts and agreements, the counter ledger, the journal, and the dates and "
        "digests of the snapshots."
    ),
    until="the law no longer asks for them",
)


@dataclass(frozen=True, slots=True)
class Ahead:
    """What an erasure of this client would take now; as the counts of an Erasure, for the question beforehand."""

    snapshots: int
    meshes: int
    tray_documents: int


def ahead(client: Client) -> Ahead:
    """Counted for the person who is asked whether to go on."""
    meshes = Mesh.objects.filter(site__client=client)
    return Ahead(
        snapshots=Snapshot.objects.filter(mesh__in=meshes).exclude(custody=Custody.GONE).count(),
        meshes=meshes.count(),
        tray_documents=TrayItem.objects.filter(mesh__in=meshes, cleared_at=None).count(),
    )


def unfinished(client: Client, today: date) -> list[str]:
    """What speaks for waiting: agreements in force, and packs that nobody noted as handed over."""
    said = []
    for site in client.sites.prefetch_related("agreements__leaving_steps").order_by("code"):
        agreement = site.agreement_on(today)
        if agreement is not None:
            until = f" until {agreement.ends_on:%Y-%m-%d}" if agreement.ends_on else ""
            said.append(f"The agreement of {site.code} is in force{until}.")
        steps = [step.step for each in site.agreements.all() for step in each.leaving_steps.all()]
        if Step.PACK not in steps:
            said.append(f"The hand-back pack of {site.code} is not noted as handed over.")
    return said


def holds_on(client: Client) -> list[str]:
    """Every legal hold that forbids to erase the client, in words: on the client, a mesh, or a copy."""
    return holds_of([client])[client.pk]


def holds_of(clients: Iterable[Client]) -> dict[int, list[str]]:
    """The same for many clients, by their row's number, in one statement."""
    found: dict[int, list[str]] = {client.pk: _on_client(client) for client in clients}
    pins = Pin.objects.filter(mesh__site__client__in=found, kind=PinKind.LEGAL, ended_at=None)
    for pin in pins.select_related("mesh__site", "snapshot").order_by("at"):
        what = f"a copy of {pin.mesh.code}" if pin.snapshot else pin.mesh.code
        found[pin.mesh.site.client_id].append(f"since {pin.at:%Y-%m-%d} on {what}: {pin.reason}")
    return found


def _on_client(client: Client) -> list[str]:
    if client.held_since is None:
        return []
    return [f"since {client.held_since:%Y-%m-%d} on the client: {client.hold_reason}"]


def certificates_of(client: Client) -> list[Any]:
    """The certificates issued, the newest first. Sheets lie a room above and are reached from the client."""
    return list(client.sheets.order_by("-revision"))


def went(row: Erasure) -> list[str]:
    """What was erased: a count and its name, in the order of weight; what was none is left out."""
    others = {name: 2 * (name.replace("_", " "),) for name in row.erased if name not in WENT}
    counted = ((row.erased.get(name, 0), words) for name, words in {**WENT, **others}.items())
    return [f"{count:,} {one if count == 1 else many}" for count, (one, many) in counted if count]


def remains(row: Erasure) -> tuple[Remainder, ...]:
    """What remains today, gravest first. Raises KeyRingError."""
    older = _older_copies(row)
    counted = (_told(part, name, row.remains.get(name, 0)) for name, part in _COUNTED.items())
    return tuple(part for part in (older, *counted, _RECORDS) if part is not None)


def still_opening(row: Erasure) -> tuple[str, ...]:
    """Names of keys in the ring of today that open a copy of the database from before the erasure."""
    return tuple(name for name in row.ring_keys if name in keyring.load().wrapping)


def unrenewed() -> int:
    """How many erasures an older copy of the database would undo with the ring of today."""
    return sum(bool(still_opening(row)) for row in Erasure.objects.all())


def _older_copies(row: Erasure) -> Remainder | None:
    if not row.ring_keys:
        return None  # nothing was ever sealed for this client
    before = f"Copies of the database from before {row.at:%Y-%m-%d %H:%M} UTC"
    if names := still_opening(row):
        return Remainder(
            what=f"{before} still open with the key ring of today.",
            where=(
                "They hold the data key, and so may the free space and the log of the database itself, wrapped by "
                f"{' and '.join(names)}."
            ),
            until="the ring is renewed and every copy of it from before is destroyed, or those of the database are",
            act=(
                "Run manage.py keyring renew, make new copies of database and ring, then destroy the old copies "
                "of the ring."
            ),
        )
    renewed = f"on {row.ring_renewed_at:%Y-%m-%d}" if row.ring_renewed_at else "since"
    return Remainder(
        what=f"{before} open only with a copy of the key ring from their own time.",
        where=f"The ring of today opens none of them: it was renewed {renewed}.",
        until="those copies of the ring, or of the database, are destroyed",
        act=(
            "Destroy the old copies of the ring. Whoever puts the book back from a copy from before the erasure "
            "must erase this client again."
        ),
    )


def _told(part: Remainder, name: str, count: int) -> Remainder | None:
    if not count:
        return None
    thing = "sheet" if name == "sheets" else "document"
    return replace(part, what=part.what.format(f"One {thing}" if count == 1 else f"{count:,} {thing}s"))
