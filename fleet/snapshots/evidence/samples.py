"""One value as we would read it, fit to be shown to a person. Keys are hidden."""

from datetime import datetime

from fleet.mesh.addresses import show_eui64, show_short
from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.guide_facts import Kind, is_secret
from fleet.snapshots.notations import ReadingError
from fleet.snapshots.paths import HIDDEN, shown
from fleet.snapshots.readings import Reading, Words, reader_for


def sample(kind: Kind, reading: Reading, words: Words, value: JsonValue) -> str:
    """The value in our own notation: "02A4 C138 F00D 0011", "0x1A2B", "2026-11-25T03:00:00+00:00"."""
    if is_secret(kind):
        return HIDDEN
    try:
        read = reader_for(kind, reading, words).read(value)
    except ReadingError:
        return shown(value)
    if kind is Kind.ADDRESS:
        return show_eui64(str(read))
    if kind is Kind.SHORT:
        return show_short(int(str(read)))
    if kind is Kind.MASK:
        return f"0x{int(str(read)):08X}"
    if isinstance(read, datetime):
        return read.isoformat()
    # Free text is foreign: it may hold what looks like a key.
    return shown(read) if kind is Kind.TEXT and isinstance(read, str) else str(read)
