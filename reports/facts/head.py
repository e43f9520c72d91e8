"""The head of a sheet: which sheet it is, who issues it, and for which home."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from types import MappingProxyType

from reports.facts.errors import FactsError
from reports.facts.fixed import Text

MOVING: Mapping[str, bool] = MappingProxyType({"moving": True})
"""Metadata of a field that is printed but makes no sheet stale: it changes by itself from night to night."""


@dataclass(frozen=True, slots=True)
class Issue:
    """One issued sheet. `issued_at` is aware and in the home's zone; `replaces` is the revision it supersedes.

    `verify_at` is the address of the book, where anybody can ask whether a sheet is one of its own; empty: nowhere.
    """

    number: str
    revision: int
    issued_at: datetime
    replaces: int | None = None
    verify_at: str = ""

    def __post_init__(self) -> None:
        if self.issued_at.tzinfo is None:
            raise FactsError(f"issued_at: {self.issued_at} has no zone; give it in the home's zone")
        if self.revision < 1:
            raise FactsError(f"revision: {self.revision}; the first revision of a sheet is 1")


@dataclass(frozen=True, slots=True)
class Firm:
    """The firm that looks after the home. Phone numbers are written as the firm writes them; `name` is empty where the
    book has no firm."""

    name: str
    day_phone: str | None = None
    night_phone: str | None = None
    email: str | None = None
    hours: str | None = None
    address_lines: tuple[str, ...] = ()
    complaint_route: str | None = None


@dataclass(frozen=True, slots=True)
class Home:
    """The home. `code` carries its check character ("KELP-7/3"); `client_name` is as the client writes it."""

    code: str
    client_name: str
    zone: str
    place_lines: tuple[str, ...] = ()
    client_reading: str | None = None
    language: str = "en"


@dataclass(frozen=True, slots=True)
class Contact:
    """Somebody to call about this home, and as what."""

    name: str
    role: Text | None = None
    phone: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph to print: JPEG octets, what it shows, and when it was taken."""

    jpeg: bytes = field(repr=False)
    caption: str
    taken_on: date | None = None
