"""What the erasure certificate says: what went, how, by whom, and what remains. Only the client's name is personal."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from reports.facts.errors import FactsError
from reports.facts.head import Firm, Home, Issue


class Went(StrEnum):
    """What an erasure takes, gravest first; the names are those that the erasure counts under."""

    SNAPSHOTS = "snapshots"
    SEALED_DOCUMENTS = "sealed_documents"
    PACKING_BASES = "packing_bases"
    INSTALL_CODES = "install_codes"
    TRAY_DOCUMENTS = "tray_documents"
    PUSH_TOKENS = "push_tokens"
    MESHES = "meshes"
    DEVICE_NAMES = "device_names"
    FINDINGS = "findings"


class Stays(StrEnum):
    """What an erasure cannot reach, gravest first. RING_*: copies of the database from before it."""

    RING_OPENS = "ring_opens"
    RING_RENEWED = "ring_renewed"
    GIVEN_OUT = "documents_given_out"
    SHEETS = "sheets"
    OTHER_TRAYS = "documents_in_other_trays"
    RECORDS = "records"


@dataclass(frozen=True, slots=True)
class Gone:
    """So many of one thing. what: a Went, or the name that a later version counts under."""

    what: str
    count: int


@dataclass(frozen=True, slots=True)
class Remaining:
    """One thing that remains: how many, or since when the ring opens no older copy."""

    what: Stays
    count: int | None = None
    since: date | None = None


@dataclass(frozen=True, slots=True)
class ErasedCopy:
    """One dated copy that went: its mesh, when it was taken, the SHA-256 of its octets in hex."""

    mesh: str
    taken_at: datetime
    sha256: str

    def __post_init__(self) -> None:
        if len(self.sha256) != 64:
            raise FactsError(f"sha256: {len(self.sha256)} digits; a SHA-256 has 64 hex digits")


@dataclass(frozen=True, slots=True)
class ErasureFacts:
    """Everything on an erasure certificate. `home` names the client and nothing of a place; times are in its zone.

    mark is what the certificate calls the erasure by. sealed: False where nothing ever lay sealed for this client.
    """

    issue: Issue
    firm: Firm
    home: Home
    mark: str
    erased_at: datetime
    by: str
    second: str
    reason: str
    sealed: bool = True
    gone: tuple[Gone, ...] = ()
    copies: tuple[ErasedCopy, ...] = ()
    remains: tuple[Remaining, ...] = ()

    @property
    def still_opens(self) -> bool:
        """True while an older copy of the database opens with the key ring of today."""
        return any(each.what is Stays.RING_OPENS for each in self.remains)
