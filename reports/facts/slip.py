"""What a signature slip says: who signed which revision, when, and how. It names the sheet by its digests."""

from dataclasses import dataclass
from datetime import datetime

from reports.facts.errors import FactsError
from reports.facts.strokes import Strokes


@dataclass(frozen=True, slots=True)
class SlipFacts:
    """One signature. `signed_at` is on the clock of `zone`; `role` is a code. `through` is the name of the account it
    was given through, or the first digits of the link's identifier; then `link_for` says whose link it was.

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
    link_for: str | None = None
    strokes: Strokes = ()
    open_defects: str | None = None
    not_tested: str | None = None
    language: str = "en"
    verify_at: str = ""

    def __post_init__(self) -> None:
        if self.signed_at.tzinfo is None:
            raise FactsError(f"signed_at: {self.signed_at} has no zone; give it in the home's zone")
