"""What the paper copy of one snapshot shows: its codes, its lines, and how they are opened again."""

from dataclasses import dataclass, field
from datetime import datetime

from reports.facts.head import Firm, Home


@dataclass(frozen=True, slots=True)
class PaperCopyFacts:
    """One paper copy. Times are in the home's zone. digest: SHA-256 of the sealed whole, in hex."""

    firm: Firm
    home: Home
    mesh_code: str
    made_at: datetime
    taken_at: datetime
    devices: int
    digest: str
    codes: tuple[str, ...] = field(repr=False)
    lines: tuple[str, ...] = field(repr=False)
