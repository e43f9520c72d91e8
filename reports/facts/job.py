"""What the job sheet of one replacement says: a recovery sheet for one radio, judged beforehand, and a log to fill."""

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from fleet.planning.replacing.preflight import Finding
from reports.facts.errors import FactsError
from reports.facts.fit import Fit
from reports.facts.head import MOVING
from reports.facts.radio import HeadRadio
from reports.facts.recovery import RecoveryFacts


class Way(StrEnum):
    """Whether the old radio can take its mesh back once the new one has spoken (trade rule C3).

    OUT_OF_REACH: it was lost or stolen. NO_POWER: it is burnt out.
    """

    READY = "ready"
    WRITE = "write"
    DEAF = "deaf"
    OUT_OF_REACH = "out_of_reach"
    NO_POWER = "no_power"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class WayBack:
    """Judged beforehand. days_deaf: how long the old radio would not be listened to; None without a known end.

    failed: the radio is replaced because it failed, so that all of this holds only if it still takes power.
    """

    way: Way
    days_deaf: Decimal | None = field(default=None, metadata=MOVING)
    failed: bool = False


@dataclass(frozen=True, slots=True)
class Taker:
    """The radio that is to take over. `where` is where it lies until then."""

    code: str
    radio: HeadRadio
    where: str | None = None


@dataclass(frozen=True, slots=True)
class Minutes:
    """An estimate with three points, in whole minutes."""

    low: int
    likely: int
    high: int

    def __post_init__(self) -> None:
        if not 0 <= self.low <= self.likely <= self.high:
            raise FactsError(f"minutes: {self.low}, {self.likely}, {self.high}; right is low, likely, high")


@dataclass(frozen=True, slots=True)
class Estimate:
    """Restoring against joining all anew (C7). percent: the chance from which trying first takes less time."""

    restore: Minutes | None = None
    rejoin: Minutes | None = None
    percent: Decimal | None = None


class Bring(StrEnum):
    """What to take along, by kind."""

    RADIO = "radio"
    COPY = "copy"
    SERIAL_CABLE = "serial_cable"
    NETWORK_CABLE = "network_cable"
    LADDER = "ladder"
    LICENCE = "licence"
    WAKE_LIST = "wake_list"
    BATTERIES = "batteries"
    BAG = "bag"
    PHONE = "phone"


@dataclass(frozen=True, slots=True)
class Taken:
    """One thing to take along, with which one or how many."""

    what: Bring
    detail: str = ""
    count: int | None = None


NOT_ESTIMATED = Estimate()


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFacts(RecoveryFacts):
    """Everything on the job sheet of one replacement. fit is None where no sound snapshot says what the mesh needs."""

    old_code: str | None = None
    taker: Taker
    fit: Fit | None = None
    way_back: WayBack = WayBack(Way.UNKNOWN)
    preflight: tuple[Finding, ...] = field(default=(), metadata=MOVING)
    bring: tuple[Taken, ...] = ()
    estimate: Estimate = NOT_ESTIMATED
