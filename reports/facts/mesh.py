"""What may be said on paper about a mesh: nothing that lets anybody in."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from reports.facts.errors import FactsError
from reports.facts.fixed import Text
from reports.facts.head import MOVING


@dataclass(frozen=True, slots=True)
class RoleCounts:
    """Devices of a mesh by role, the head radio not counted."""

    routers: int = 0
    end_devices: int = 0
    unknown: int = 0

    @property
    def total(self) -> int:
        return self.routers + self.end_devices + self.unknown


@dataclass(frozen=True, slots=True)
class Ceiling:
    """One table of the head radio: entries used of entries allowed. None means not known."""

    resource: Text
    used: int | None = None
    limit: int | None = None
    source: Text | None = None


@dataclass(frozen=True, slots=True)
class Headroom:
    """How much room is left in the head radio; `months_left` at the present rate of growth."""

    ceilings: tuple[Ceiling, ...] = ()
    read_on: date | None = field(default=None, metadata=MOVING)
    months_left: Decimal | None = field(default=None, metadata=MOVING)


@dataclass(frozen=True, slots=True)
class WifiCell:
    """One Wi-Fi transmitter heard at the home: channel 1 to 14, width 20 or 40 MHz, level in dBm."""

    channel: int
    width_mhz: int = 20
    level_dbm: int | None = None

    def __post_init__(self) -> None:
        if not 1 <= self.channel <= 14:
            raise FactsError(f"channel: {self.channel} is no 2.4 GHz Wi-Fi channel; they run from 1 to 14")


@dataclass(frozen=True, slots=True)
class ChannelSurvey:
    """The Wi-Fi heard at the home on one day."""

    surveyed_on: date
    cells: tuple[WifiCell, ...] = ()


@dataclass(frozen=True, slots=True)
class MeshFacts:
    """One mesh. `code` carries its check character; `extended_pan_id` is 16 upper-case hex digits;
    `key_mark` is the 8-hex keyed digest that tells two network keys apart without giving either away."""

    code: str
    purpose: str | None = None
    channel: int | None = None
    pan_id: int | None = None
    extended_pan_id: str | None = None
    counts: RoleCounts | None = None
    headroom: Headroom | None = None
    survey: ChannelSurvey | None = None
    key_mark: str | None = None
    key_sequence: int | None = None

    def __post_init__(self) -> None:
        if self.key_mark is not None and len(self.key_mark) != 8:
            raise FactsError(
                f"key_mark: {len(self.key_mark)} digits; a key mark has 8 hex digits, a key never goes here"
            )
