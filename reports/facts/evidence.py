"""What an evidence pack shows of one home over a stretch of days: what was promised, done, seen, and what was not."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from reports.facts.errors import FactsError
from reports.facts.head import Firm, Home, Issue
from reports.facts.snapshots import CalendarDay


@dataclass(frozen=True, slots=True)
class Promise:
    """One agreement as far as it lies in the period."""

    starts_on: date
    ends_on: date | None
    notice_days: int
    point_hours: int
    time_minutes: int
    drill_every_days: int
    hours_covered: str | None = None


@dataclass(frozen=True, slots=True)
class InService:
    """A radio's time as head of a mesh. `firmware` is the build on it when this was issued; addresses in hex."""

    model: str
    serial: str
    address: str
    firmware: str | None
    since: datetime
    until: datetime | None
    why_ended: str | None


@dataclass(frozen=True, slots=True)
class MonthOfCopies:
    """Copies taken in one month by grade, and days of the period in it without a sound one."""

    month: date
    days: int
    days_without: int
    proven: int = 0
    seen_live: int = 0
    sound: int = 0
    not_sound: int = 0
    erased_since: int = 0


@dataclass(frozen=True, slots=True)
class Gap:
    """Days without a sound copy, both ends included. `over_promise`: longer than the recovery point promised then."""

    first: date
    last: date
    over_promise: bool | None

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1


@dataclass(frozen=True, slots=True)
class Rehearsed:
    """One drill. `kind`: paper, bench or live. `kept`: within the time promised then; None where that is not known."""

    at: datetime
    kind: str
    passed: bool
    minutes: int | None
    kept: bool | None
    by: str | None
    build: str | None
    spare: str | None


@dataclass(frozen=True, slots=True)
class Swapped:
    """One replacement of the head radio. `state` is the book's word for where it stood at the end of the period;
    `minutes` run from the call where the radio had failed, else from its silencing, to acceptance."""

    asked_at: datetime
    why: str
    old: str | None
    new: str | None
    state: str
    accepted_at: datetime | None
    minutes: int | None
    kept: bool | None


@dataclass(frozen=True, slots=True)
class GivenOut:
    """A document for a radio left the book, or a drill took a number: when and by whom. Never the number."""

    at: datetime
    kind: str
    by: str | None


@dataclass(frozen=True, slots=True)
class BuildSeen:
    """A firmware build that somebody noted on the radio in service, and the days of the first and last note."""

    version: str
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class KeyEpoch:
    """The days of the first and the last copy under one network key. Nothing of the key itself."""

    first: date
    last: date


@dataclass(frozen=True, slots=True)
class DaysInState:
    """How many days of the period were spent in one state; `state` is the book's word, None: not judged."""

    state: str | None
    days: int


@dataclass(frozen=True, slots=True)
class DayState:
    """The worst state of one day; None: not judged."""

    day: date
    state: str | None


@dataclass(frozen=True, slots=True)
class MeshEvidence:
    """One mesh of the home."""

    code: str
    purpose: str | None
    safety: bool
    service: tuple[InService, ...] = ()
    months: tuple[MonthOfCopies, ...] = ()
    gaps: tuple[Gap, ...] = ()
    gaps_left_out: int = 0
    days: tuple[CalendarDay, ...] = ()
    drills: tuple[Rehearsed, ...] = ()
    swaps: tuple[Swapped, ...] = ()
    given_out: tuple[GivenOut, ...] = ()
    builds: tuple[BuildSeen, ...] = ()
    epochs: tuple[KeyEpoch, ...] = ()
    states: tuple[DaysInState, ...] = ()
    course: tuple[DayState, ...] = ()


@dataclass(frozen=True, slots=True)
class Signed:
    """One signature under a sheet: who, as what, when."""

    name: str
    role: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet issued in the period, with the signatures that were put under this revision."""

    number: str
    kind: str
    revision: int
    issued_at: datetime
    sha256: str
    mesh_code: str | None = None
    signed: tuple[Signed, ...] = ()


@dataclass(frozen=True, slots=True)
class Carer:
    """Somebody or something that wrote in the journal of this home: how many lines, on which days first and last."""

    name: str
    lines: int
    first: date
    last: date


class Lack(StrEnum):
    """What a pack does not show, by the reason why not."""

    GAPS = "gaps"
    NO_COPY = "no copy"
    NO_DRILL = "no drill"
    NO_LIVE_DRILL = "no live drill"
    NOT_JUDGED = "not judged"
    NO_SERVICE = "no service"
    NO_PROMISE = "no promise"
    FIRMWARE = "firmware"
    UNSIGNED = "unsigned"
    NO_CHAIN = "no chain"
    NO_MESH = "no mesh"
    NO_JOURNAL = "no journal"


@dataclass(frozen=True, slots=True)
class NotShown:
    """One thing that the pack does not show: of which mesh (None: the home), and how many days or papers it is."""

    lack: Lack
    mesh_code: str | None = None
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the journal, or several of one day that say the same: the first one's number and moment."""

    number: int
    at: datetime
    who: str
    what: str
    subject: str
    times: int = 1


@dataclass(frozen=True, slots=True)
class ChainEnd:
    """A line's place in the journal's chain, from 1, and the digest, in hex, that stands for all lines up to it."""

    place: int
    digest: str


@dataclass(frozen=True, slots=True)
class Annex:
    """The journal of the home in the period, and the SHA-256 in hex of its lines in canonical form (RFC 8785).

    chain is the last of these lines at its place in the chain of the whole journal; None where one is not chained yet.
    """

    count: int
    sha256: str
    entries: tuple[Entry, ...]
    chain: ChainEnd | None = None


@dataclass(frozen=True, slots=True)
class EvidenceFacts:
    """Everything in an evidence pack. Days are those of the home's calendar, both ends included."""

    issue: Issue
    firm: Firm
    home: Home
    first: date
    last: date
    annex: Annex
    promises: tuple[Promise, ...] = ()
    meshes: tuple[MeshEvidence, ...] = ()
    papers: tuple[Paper, ...] = ()
    carers: tuple[Carer, ...] = ()
    not_shown: tuple[NotShown, ...] = ()

    def __post_init__(self) -> None:
        if self.first > self.last:
            raise FactsError(f"first: {self.first} lies after the last day, {self.last}")

    @property
    def day_count(self) -> int:
        return (self.last - self.first).days + 1
