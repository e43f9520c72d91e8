"""What the record of one drill says: what was rehearsed, with what, what came of it, and what that proves."""

from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

from reports.facts.fit import PairRecord
from reports.facts.head import MOVING, Firm, Home, Issue
from reports.facts.snapshots import SnapshotMark


class Kind(StrEnum):
    """Paper walk-through, a write to a blank spare that radiates nothing, or a live swap."""

    PAPER = "paper"
    BENCH = "bench"
    LIVE = "live"


class Blank(StrEnum):
    """Whether the radio was proven blank after the drill."""

    PROVEN = "proven"
    NOT_PROVEN = "not_proven"
    ON_AIR = "on_air"
    NO_RADIO = "no_radio"


class SameBuild(StrEnum):
    """Whether the drill was held on the firmware that the spare has today."""

    SAME = "same"
    OTHER = "other"
    NOT_KNOWN = "not_known"


@dataclass(frozen=True, slots=True)
class Rehearsed:
    """The radio of the drill: builds as model and version, from the radio in service to the one written."""

    code: str
    model: str
    serial: str | None = None
    source: str | None = None
    target: str | None = None
    build_today: str | None = None


@dataclass(frozen=True, slots=True)
class Claim:
    """All bench and live drills from one family to another. failing_percent: at most so many homes would fail,
    95 %, where none of them failed; None where one did (trade rule C16)."""

    families: str
    trials: int
    passes: int
    failing_percent: Decimal | None = None


@dataclass(frozen=True, slots=True)
class NextDrill:
    """When the next one is due; overdue as of the sheet's date. interval_days is the agreed one."""

    interval_days: int
    due_on: date | None = field(default=None, metadata=MOVING)
    overdue: bool = field(default=False, metadata=MOVING)


@dataclass(frozen=True, slots=True)
class DrillFacts:
    """Everything on the record of one drill. held_at is on the clock of the home."""

    issue: Issue
    firm: Firm
    home: Home
    mesh_code: str
    kind: Kind
    passed: bool
    held_at: datetime
    purpose: str | None = None
    by: str | None = None
    minutes: int | None = None
    copy: SnapshotMark | None = None
    rehearsed: Rehearsed | None = None
    same_build: SameBuild = SameBuild.NOT_KNOWN
    numbers_to: int | None = None
    record: PairRecord | None = field(default=None, metadata=MOVING)
    claim: Claim | None = field(default=None, metadata=MOVING)
    blank: Blank = Blank.NO_RADIO
    blank_by: str | None = None
    blank_at: datetime | None = None
    next_drill: NextDrill | None = None
