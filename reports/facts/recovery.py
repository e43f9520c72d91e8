"""What the recovery sheet of one mesh says to a technician who has never been in the house."""

from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from reports.facts.fixed import Text
from reports.facts.head import MOVING, Contact, Firm, Home, Issue
from reports.facts.mesh import MeshFacts
from reports.facts.radio import HeadRadio, NotToTake, Spare
from reports.facts.safety import SafetyItem
from reports.facts.snapshots import LockedOut, SnapshotMark, StartValue


@dataclass(frozen=True, slots=True)
class WayIn:
    """How to get there and who opens. It says who can give the door code, never the code."""

    parking: str | None = None
    floor: str | None = None
    alarm_route: str | None = None
    door_code_from: str | None = None


@dataclass(frozen=True, slots=True)
class Check:
    """One of the checks that tell whether it is the radio at all, with the sign of a healthy part."""

    look_at: Text
    expected: Text
    minutes: int


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the swap: what to do, its target minutes, and what to do when it stops here."""

    do: Text
    minutes: int
    if_it_stops: Text | None = None
    point_of_no_return: bool = False


@dataclass(frozen=True, slots=True)
class BackOut:
    """Whether the old radio can be put back afterwards, and why (not)."""

    possible: bool
    why: Text


@dataclass(frozen=True, slots=True)
class Sleeper:
    """A battery device to wake: `how` to wake it, and the longest silence that is normal, in minutes."""

    name: str
    room: str | None = None
    how: str | None = None
    longest_silence_minutes: int | None = None
    safety: bool = False


@dataclass(frozen=True, slots=True)
class Rejoin:
    """Devices to join again, in best order, when nothing works: routers from the head outwards, then sleepers."""

    group: Text
    devices: tuple[Text, ...]


@dataclass(frozen=True, slots=True)
class Hours:
    """An estimate with three points, in hours."""

    low: Decimal
    likely: Decimal
    high: Decimal


@dataclass(frozen=True, slots=True)
class Acceptance:
    """What must have answered before the technician leaves. `safety` counts the devices tested by hand."""

    routers: int | None = None
    sleepers: int | None = None
    safety: int | None = None


@dataclass(frozen=True, slots=True)
class Taking:
    """Minutes that bringing the mesh back takes with its spare, as the book says: the way of `travel` included.

    sent: nobody drives that far; the minutes are then those of the work at the home alone.
    """

    low: int
    likely: int
    high: int
    travel: int
    sent: bool = False


NOTHING_KNOWN = WayIn()
NOT_COUNTED = Acceptance()


@dataclass(frozen=True, slots=True)
class RecoveryFacts:
    """Everything on the recovery sheet of one mesh.

    `do_not_begin` are conditions, `mind` the home's own warnings. `not_to_take`: the radios weighed where none counts.
    `stranded_since`: a swap failed then, and no copy since shows devices that answer.
    """

    issue: Issue
    firm: Firm
    home: Home
    mesh: MeshFacts
    radio: HeadRadio
    way_in: WayIn = NOTHING_KNOWN
    contacts: tuple[Contact, ...] | None = None
    stranded_since: datetime | None = None
    safety: tuple[SafetyItem, ...] | None = None
    do_not_begin: tuple[Text, ...] | None = None
    mind: tuple[str, ...] = ()
    checks: tuple[Check, ...] = ()
    spare: Spare | None = None
    not_to_take: tuple[NotToTake, ...] = ()
    snapshot: SnapshotMark | None = field(default=None, metadata=MOVING)
    locked_out: tuple[LockedOut, ...] | None = field(default=None, metadata=MOVING)
    start_value: StartValue | None = field(default=None, metadata=MOVING)
    steps: tuple[Step, ...] = ()
    taking: Taking | None = None
    back_out: BackOut | None = None
    sleepers: tuple[Sleeper, ...] | None = None
    accept: Acceptance = NOT_COUNTED
    rejoin: tuple[Rejoin, ...] | None = None
    rejoin_hours: Hours | None = None
    safe_tonight: tuple[Text, ...] | None = None
    valid_to: date | None = field(default=None, metadata=MOVING)
