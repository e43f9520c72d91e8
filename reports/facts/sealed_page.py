"""What the sealed page of one mesh shows: its keys and codes, and nothing else that lets anybody in."""

from dataclasses import dataclass, field
from datetime import date, datetime

from reports.facts.head import Firm, Home


@dataclass(frozen=True, slots=True)
class Held:
    """The secrets of one device as octets; None where none is held. `damaged`: a code is held and does not open."""

    name: str
    room: str
    address: str
    link_key: bytes | None = field(default=None, repr=False)
    install_code: bytes | None = field(default=None, repr=False)
    damaged: bool = False


@dataclass(frozen=True, slots=True)
class KeyHistory:
    """What the copies tell of the network key, in days at the home.

    first_seen: the first sound copy under it. last_before: the last one under another key before that, if any.
    """

    first_seen: date
    last_before: date | None = None


@dataclass(frozen=True, slots=True)
class SealedPageFacts:
    """One sealed page. Times are in the home's zone; keys are octets. mark: eight digits by which the key is known."""

    firm: Firm
    home: Home
    mesh_code: str
    made_at: datetime
    taken_at: datetime
    mark: str
    key_sequence: int
    history: KeyHistory
    network_key: bytes = field(repr=False)
    link_key_seed: bytes | None = field(default=None, repr=False)
    devices: tuple[Held, ...] = field(default=(), repr=False)
    without: int = 0
