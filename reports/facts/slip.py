"""What a signature slip says: who signed which revision, when, and how. It names the sheet by its digests."""

from dataclasses import dataclass
from datetime import datetime

from reports.facts.errors import FactsError
from reports.facts.strokes import Strokes


@dataclass(frozen=True, slots=True)
class SlipFacts:
    """One signature. `signed_at` is on the clock of `zone`; `through` is the account or link it was given through.

    `strokes` is empty for a typed name. Digests are lower-case hex.
    """

    number: str
    revision: int
    digest: str
    sha256: str
    name: str
    role: str
    signed_at: datetime
    zone: str
    through: str
    strokes: Strokes = ()
    open_defects: str | None = None
    not_tested: str | None = None
    language: str = "en"
    verify_at: str = ""

    def __post_init__(self) -> None:
        if self.signed_at.tzinfo is None:
            raise FactsError(f"signed_at: {self.signed_at} has no zone; give it in the home's zone")
