"""Snapshots as a sheet speaks of them: how often, where, how good, which ones not to use."""

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from reports.facts.fixed import Text
from reports.facts.head import MOVING


class DayMark(StrEnum):
    """The best snapshot of one day in the home's own zone."""

    NONE = "none"
    LANDED = "landed"
    SOUND = "sound"
    PROVEN = "proven"


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """One day of the snapshot calendar."""

    day: date
    mark: DayMark


@dataclass(frozen=True, slots=True)
class SnapshotCare:
    """How one mesh's snapshots are looked after. `sealed_copy_at` says where the sealed copy lies."""

    mesh_code: str
    every_hours: int | None = None
    kept_where: Text | None = None
    sealed_copy_at: Text | None = None
    promised_point_hours: int | None = None
    promised_time_minutes: int | None = None
    last_sound_at: datetime | None = field(default=None, metadata=MOVING)
    last_proven_at: datetime | None = field(default=None, metadata=MOVING)
    days: tuple[CalendarDay, ...] = field(default=(), metadata=MOVING)


@dataclass(frozen=True, slots=True)
class SnapshotMark:
    """The snapshot to restore from. `digest` is the SHA-256 of its original bytes, hex (the first 16 are printed)."""

    taken_at: datetime
    grade: Text
    digest: str
    nodes: int | None = None
    key_sequence: int | None = None


@dataclass(frozen=True, slots=True)
class LockedOut:
    """Snapshots that must not be used, told by what they share: "taken before 14 February 2027", and why."""

    which: Text
    why: Text


@dataclass(frozen=True, slots=True)
class StartValue:
    """The frame counter to write: `at_issue` holds at the sheet's issue date, `per_day` is added for each further
    day begun. Both come from the counter ledger (C1), never from the snapshot. `basis` says how, in words."""

    at_issue: int
    per_day: int
    basis: Text | None = None
