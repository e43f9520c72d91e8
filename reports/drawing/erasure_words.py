"""What an erasure takes, what it cannot reach, and what the client can do, in plain words."""

from collections.abc import Mapping
from dataclasses import dataclass

from reports.drawing import words
from reports.drawing.language import _, later, later_many, many
from reports.facts.erasure import Gone, Remaining, Stays, Went

WENT: Mapping[str, tuple[str, str]] = {
    Went.SNAPSHOTS: later_many("{n} snapshot", "{n} snapshots"),
    Went.SEALED_DOCUMENTS: later_many("{n} sealed document", "{n} sealed documents"),
    Went.PACKING_BASES: later_many("{n} packing base", "{n} packing bases"),
    Went.INSTALL_CODES: later_many("{n} install code", "{n} install codes"),
    Went.TRAY_DOCUMENTS: later_many("{n} document from the tray", "{n} documents from the tray"),
    Went.PUSH_TOKENS: later_many("{n} push token ended", "{n} push tokens ended"),
    Went.MESHES: later_many("{n} mesh out of care", "{n} meshes out of care"),
    Went.DEVICE_NAMES: later_many(
        "{n} device whose names were removed", "{n} devices whose names were removed"
    ),
    Went.FINDINGS: later_many("{n} finding", "{n} findings"),
}


@dataclass(frozen=True, slots=True)
class Said:
    """One thing that remains: what, where, until when, and what helps."""

    what: str
    where: str
    until: str
    helps: str


REMAINS: Mapping[Stays, Said] = {
    Stays.RING_OPENS: Said(
        later("Copies of the database from before the erasure: they STILL OPEN with today's key ring."),
        later("With the firm. They hold the destroyed key, wrapped; so may the free space of the database."),
        later("the ring is renewed and its old copies are destroyed"),
        later("The firm renews the ring, makes new copies, destroys the old ones, and issues this anew."),
    ),
    Stays.RING_RENEWED: Said(
        later("Copies of the database from before the erasure; the key ring was renewed on {day}."),
        later("With the firm. They open only with a copy of the ring from their own time."),
        later("those copies of the ring, or of the database, are destroyed"),
        later("The firm destroys them. Whoever puts such a copy back must erase this client again."),
    ),
    Stays.GIVEN_OUT: Said(
        later("Documents that were given out: {n}, to restore a radio, to hand back, or on paper."),
        later("With whoever got them. They hold the network key."),
        later("they are destroyed, or the network key is changed"),
        later("Ask for them to be destroyed, and have the network key changed."),
    ),
    Stays.SHEETS: Said(
        later("Sheets of paper that were issued: {n}."),
        later("In the firm's archive and at the home. They name rooms and devices, never a key."),
        later("somebody destroys them"),
        later("Destroy those at the home that you no longer want."),
    ),
    Stays.OTHER_TRAYS: Said(
        later("Documents that may be yours and were sent for another home or for none: {n}."),
        later("In the tray of the firm's book, sealed under another key."),
        later("they are cleared from the tray and erased there"),
        later("The firm looks through its tray."),
    ),
    Stays.RECORDS: Said(
        later("The firm's own records: your name, your homes and contacts, and the agreements."),
        later("In the book, with counter ledger, journal, and dates and digests of the snapshots."),
        later("the law no longer asks the firm for them"),
        later("Ask the firm which law, and until when."),
    ),
}
YOU_CAN = (
    later("Keep this paper. Its digest proves which text you were given."),
    later("Have the network key changed by whoever looks after the home now: that ends every copy anywhere."),
    later(
        "Ask the firm what it still holds about you, have it put right, and ask for proof of each line above."
    ),
    later("Ask for this certificate anew once something that remains has gone."),
    later("Complain: to the firm first, then to the authority for data protection where you live."),
)
METHOD = later(
    "Cryptographic erase: every document lay encrypted (AES-256-GCM) under one key of your own, which was kept only "
    "wrapped by the firm's key ring. That key was destroyed, and the encrypted octets were deleted with it."
)
PURGE = later(
    "In the terms of NIST SP 800-88 Rev. 1 this counts as Purge only as far as its section on cryptographic erase "
    "(2.6, number quoted from memory) allows: all was encrypted before it was stored, and every copy of the key is "
    "gone or out of reach. The firm makes that claim for the database in use, and for nothing that is listed as "
    "remaining."
)
NO_PURGE_YET = later(
    "In the terms of NIST SP 800-88 Rev. 1 this is NOT YET Purge: its section on cryptographic erase (2.6, number "
    "quoted from memory) asks that every copy of the key is gone or out of reach, and an older copy of the database "
    "still opens with today's key ring."
)
NEVER_SEALED = later("Nothing was ever sealed for this client, so there was no key to destroy.")


def gone(each: Gone) -> str:
    """12 snapshots; a name that this list does not have, as it stands."""
    known = WENT.get(each.what)
    if known is None:
        return f"{words.number(each.count)} {each.what.replace('_', ' ')}"
    return words.counted(many(*known, each.count), each.count)


def remaining(each: Remaining) -> Said:
    """What remains, in the language that is spoken."""
    said = REMAINS[each.what]
    day = words.day(each.since) if each.since else words.not_recorded()
    count = words.number(each.count) if each.count is not None else words.not_recorded()
    return Said(_(said.what).format(n=count, day=day), _(said.where), _(said.until), _(said.helps))
