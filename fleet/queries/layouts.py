"""Reading a document by whichever layout it has: our own, or one that a confirmed field guide knows."""

from dataclasses import dataclass
from functools import lru_cache

from django.conf import settings

from fleet.models import FieldGuideRow, Snapshot
from fleet.snapshots import own_layout
from fleet.snapshots.decoding import JsonValue, Problem, ReadError, decode
from fleet.snapshots.facts import SnapshotFacts
from fleet.snapshots.fingerprint import layout_fingerprint
from fleet.snapshots.guides import FieldGuide, from_json, read_with

OWN = "sparebook mesh-snapshot 1"


class UnknownLayout(ReadError):
    """A JSON document whose layout nobody has taught the book yet."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What the document says, the name of its layout, and the guide it was read by (None: our own layout)."""

    layout: str
    facts: SnapshotFacts
    guide: FieldGuideRow | None = None


def read(body: bytes) -> Reading:
    """The facts of a document. Raises UnknownLayout, or ReadError with a problem for each field."""
    document = decode(body, max_bytes=settings.INTAKE_LIMIT)
    if own_layout.recognises(document):
        return Reading(OWN, own_layout.read(document))
    row = guide_for(document)
    if row is None:
        right = "the book's own layout, or one that a confirmed field guide reads"
        raise UnknownLayout([Problem("$", "a layout that is not known", right)])
    return Reading(row.edition, read_with(guide_of(row), document), row)


def foreign(body: bytes) -> JsonValue:
    """A document that is JSON and not in our own layout, decoded; None for every other."""
    try:
        document = decode(body)
    except ReadError:
        return None
    return None if own_layout.recognises(document) else document


def guide_for(document: JsonValue) -> FieldGuideRow | None:
    """The guide confirmed for the layout of this document."""
    return guide_known_for(layout_fingerprint(document))


def guide_known_for(fingerprint: str) -> FieldGuideRow | None:
    """The guide confirmed for the layout of this fingerprint."""
    return FieldGuideRow.objects.filter(layouts__fingerprint=fingerprint).first()


def guide_of(row: FieldGuideRow) -> FieldGuide:
    """The guide itself."""
    return _parsed(row.text)


@lru_cache(maxsize=64)
def _parsed(text: str) -> FieldGuide:
    return from_json(text)


def facts_of(snapshot: Snapshot, body: bytes) -> SnapshotFacts:
    """What a stored copy says, read by the layout it was taken in with. Raises ReadError."""
    document = decode(body)
    return read_with(guide_of(snapshot.guide), document) if snapshot.guide else own_layout.read(document)
