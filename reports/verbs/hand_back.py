"""The hand-back pack: all that a home's next caretaker needs, in one file that only a passphrase opens.

The file is an AES-256 encrypted ZIP (WinZip AE-2), as people can open it without this program. Its key derivation
is weak by today's measure, so the passphrase is drawn at random and long. An open bill never holds the pack back
(common practice, no source; local law decides).
"""

import io
from dataclasses import dataclass, field
from datetime import datetime

import pyzipper
from django.db import transaction

from fleet.mesh.counters import SPACE_END, Verdict
from fleet.models import Mesh, Snapshot
from fleet.queries.counters import counter_picture
from fleet.snapshots.packing import PackError
from fleet.snapshots.sealing import SealError
from fleet.verbs import journal
from fleet.verbs.ledger import note_number
from reports.queries import hand_back
from reports.queries.home import at_home, firm_facts
from reports.verbs.passphrase import is_drawn
from reports.verbs.reasons import ReasonRefused, reason_beside
from sites.models import Site

READ_FIRST = """\
Hand-back pack of {code}, made {made} by {firm}

Keep this file as you would keep the keys of the house: the snapshots in it hold the keys of the network that
locks, heating and alarms obey. Give it to whoever looks after the home next, and to nobody else.

In it: for each network its newest sound snapshot as it came, the devices, the dated copies that existed, and
the number to write; then the sheets in force.

Before anybody writes a snapshot to a radio:
- one identity, one voice: the radio in service must be off, with its battery out;
- agree a way to do without locks, heating and alarms first, and test each of them by hand afterwards;
- never write the number that stands in the snapshot. Write the number below.
Mains work, ladders and gas: licensed people and local codes.

{numbers}
"""


class PackRefused(Exception):
    """No pack is made; the sentence says why and what would be right."""


@dataclass(frozen=True, slots=True)
class Pack:
    """The encrypted file, and what it is called."""

    octets: bytes = field(repr=False)
    name: str
    meshes: int


@transaction.atomic
def make_pack(site: Site, passphrase: str, reason: str, by: str, now: datetime) -> Pack:
    """The pack of a home as of now, encrypted under the passphrase. Its numbers go into the counter ledger.

    Raises PackRefused for a reason that is missing or holds a secret, a passphrase that was not drawn here, or copies
    that do not open.
    """
    if site.client.erased_at is not None:
        raise PackRefused(
            f"{site.code} was erased with its client on {site.client.erased_at:%Y-%m-%d}; no copy of it is left."
        )
    if not is_drawn(passphrase):
        raise PackRefused("passphrase: it is not the one that was offered; open the page again.")
    try:
        reason = reason_beside(passphrase, reason)
    except ReasonRefused as error:
        raise PackRefused(str(error)) from None
    copies = hand_back.newest_copies(site)
    files: list[tuple[str, bytes]] = []
    numbers = []
    for mesh, copy in copies:
        files += hand_back.tables_of(mesh)
        if copy is None:
            numbers.append(f"{mesh.code}: there is no sound snapshot. Take one while the radio still works.")
            continue
        files += _documents(mesh, copy)
        numbers.append(_number(mesh, copy, by, now))
    files += hand_back.sheets_of(site)
    first = READ_FIRST.format(
        code=site.code,
        made=f"{at_home(now, site):%Y-%m-%d %H:%M} ({site.time_zone})",
        firm=firm_facts().name,
        numbers="\n".join(numbers),
    )
    octets = _encrypted([("READ-FIRST.txt", first.encode()), *files], passphrase)
    journal.record(by, "hand-back pack made", site.code, now, meshes=len(copies), reason=reason)
    return Pack(octets, f"{site.code}-hand-back-{now:%Y-%m-%d}.zip", len(copies))


def _documents(mesh: Mesh, copy: Snapshot) -> list[tuple[str, bytes]]:
    try:
        return list(hand_back.documents_of(mesh, copy))
    except (SealError, PackError) as error:
        raise PackRefused(f"The copy of {mesh.code} does not open: {error}.") from None


def _number(mesh: Mesh, copy: Snapshot, by: str, now: datetime) -> str:
    picture = counter_picture(mesh, now, key_mark=copy.key_mark, key_sequence=copy.key_sequence)
    if picture is None:
        return f"{mesh.code}: no counter value is on record; change the network key before restoring."
    if picture.start.verdict is Verdict.REFUSE:
        return f"{mesh.code}: the counter is near its end; change the network key before restoring."
    # One day more than the pack says: whoever restores from it counts begun days, and this book must stay above.
    note_number(mesh, copy, min(picture.start.value + picture.per_day, SPACE_END - 1), by, now)
    return (
        f"{mesh.code}: {picture.start.value} on {now:%Y-%m-%d} at {now:%H:%M} UTC, and {picture.per_day} more for each "
        "further day begun. Use a number once only: add a day's worth before every further attempt."
    )


def _encrypted(files: list[tuple[str, bytes]], passphrase: str) -> bytes:
    out = io.BytesIO()
    with pyzipper.AESZipFile(out, "w", compression=pyzipper.ZIP_DEFLATED, encryption=pyzipper.WZ_AES) as box:
        box.setpassword(passphrase.encode())
        for name, octets in files:
            box.writestr(name, octets)
    return out.getvalue()
