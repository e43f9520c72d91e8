"""Octets to facts, by whichever layout the document has."""

from dataclasses import dataclass

from fleet.snapshots import own_layout
from fleet.snapshots.decoding import Problem, ReadError, decode
from fleet.snapshots.facts import SnapshotFacts

OWN_LAYOUT = "sparebook mesh-snapshot 1"


class UnknownLayout(ReadError):
    """A JSON document whose layout nobody has taught the book yet."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What the document says, and the layout it was read by."""

    layout: str
    facts: SnapshotFacts


def read(body: bytes) -> Reading:
    """The facts of a document. Raises UnknownLayout, or ReadError with a problem for each field."""
    document = decode(body)
    if not own_layout.recognises(document):
        raise UnknownLayout(
            [Problem("$.sparebook", "", "a document in the book's own layout, or a layout it knows")]
        )
    return Reading(OWN_LAYOUT, own_layout.read(document))
