"""The journal as a chain: each line's digest holds the one before, so that no line can be changed unseen.

A digest is the SHA-256 (FIPS 180-4) of the digest before and the line in canonical JSON (RFC 8785). Whoever knows the
last digest, such as from paper, can tell that no line up to there was changed, taken out, put in or moved.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from hashlib import sha256
from typing import Any

from fleet.planning.canonical import CanonicalError, canonical

FIRST = "0" * 64
"""Stands before the first line."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the journal: what was done, when, by whom, to what, with which details (plain JSON values)."""

    at: datetime
    who: str
    what: str
    subject: str
    details: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Link:
    """A line at its place in the chain, from 1, with its digest in 64 hex digits."""

    place: int
    digest: str
    line: Line


@dataclass(frozen=True, slots=True)
class Head:
    """The last link: how many lines the chain holds, and the digest that stands for all of them."""

    place: int = 0
    digest: str = FIRST


class Fault(StrEnum):
    """What is wrong with a chain."""

    MISSING = "missing"
    CHANGED = "changed"
    CUT = "cut"
    LONGER = "longer"
    OTHER = "other"

    @property
    def words(self) -> str:
        """What it means for a reader."""
        return {
            Fault.MISSING: "a line is missing before it, or lines were moved",
            Fault.CHANGED: "this line is not the one that was written, or the one before it is not",
            Fault.CUT: "lines after it were taken away",
            Fault.LONGER: "lines after it were put in",
            Fault.OTHER: "the chain up to here is another one than that on record",
        }[self]


@dataclass(frozen=True, slots=True)
class Break:
    """Where a chain does not hold, and why."""

    place: int
    fault: Fault


def digest_of(before: str, place: int, line: Line) -> str:
    """The digest of a line at its place after another's. Details without a canonical form go in as their text."""
    told = {
        "place": place,
        "before": before,
        "at": line.at.astimezone(UTC).isoformat(timespec="microseconds"),
        "who": line.who,
        "what": line.what,
        "subject": line.subject,
        "details": line.details,
    }
    try:
        return sha256(canonical(told)).hexdigest()
    except CanonicalError:
        return sha256(canonical({**told, "details": repr(line.details)})).hexdigest()


def continued(head: Head, lines: Iterable[Line]) -> Iterable[Link]:
    """Lines put behind a head, in their order."""
    place, digest = head.place, head.digest
    for line in lines:
        place += 1
        digest = digest_of(digest, place, line)
        yield Link(place, digest, line)


def checked(links: Iterable[Link], head: Head, known: Iterable[Head] = ()) -> Break | None:
    """The first break of a chain in the order of its places, or None where it holds.

    head is where the book says that the chain ends; known are heads written down elsewhere, such as on paper.
    """
    expected = {each.place: each.digest for each in known if each.place}
    place, digest = 0, FIRST
    for link in links:
        if link.place != place + 1:
            return Break(link.place, Fault.MISSING)
        if link.place > head.place:
            return Break(head.place, Fault.LONGER)
        if link.digest != digest_of(digest, link.place, link.line):
            return Break(link.place, Fault.CHANGED)
        place, digest = link.place, link.digest
        if expected.pop(place, digest) != digest:
            return Break(place, Fault.OTHER)
    if place < head.place or expected:
        return Break(place, Fault.CUT)
    return Break(place, Fault.OTHER) if digest != head.digest else None
