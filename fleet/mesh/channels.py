"""Channels at 2.4 GHz: centres, what Wi-Fi covers, and which channel costs a mesh least.

Channel numbers are those of IEEE 802.15.4, page 0 (11 to 26). Frequencies are in MHz, levels in dBm, duty is
the share of time a neighbour is on air (0 to 1).
"""

import math
from collections.abc import Collection, Iterable
from dataclasses import dataclass

CHANNELS = range(11, 27)
CHANNEL_WIDTH_MHZ = 2.0
PREFERRED = (11, 15, 20, 25)
"""Channels a device looks at first (Zigbee Base Device Behavior, primary channel set)."""

MASK_2_4_GHZ = 0x07FF_F800
BLUETOOTH_ADVERTISING_CHANNEL = 26

# Weights of the cost, in units of a neighbour that is always on air at THRESHOLD_DBM.
# Common practice, no source. The three small ones decide between quiet channels; together they stay
# within 6 dB of the noise alone, so that none of them makes a mesh move by itself.
THRESHOLD_DBM = -75.0
NOISE = 0.01
REDUCED_POWER = 0.01
BLUETOOTH = 0.01
OWN_MESH = 10.0
MOVE_ABOVE_DB = 6.0


class ChannelError(ValueError):
    """A channel, width or mask outside the 2.4 GHz band; the message says what would be right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WifiNeighbour:
    """One Wi-Fi network as a survey heard it: by its channel (1-14) or, where it is wider, by its centre."""

    channel: int | None = None
    centre_mhz: float | None = None
    width_mhz: float = 20.0
    level_dbm: float
    duty: float

    def __post_init__(self) -> None:
        if (self.channel is None) == (self.centre_mhz is None):
            raise ChannelError("Wi-Fi neighbour: right is either a channel, 1 to 14, or a centre in MHz")
        if not 2400 <= self.centre <= 2500:
            raise ChannelError(f"Wi-Fi neighbour, centre {self.centre} MHz: right is 2400 to 2500")
        if not 0 <= self.duty <= 1:
            raise ChannelError(f"Wi-Fi neighbour, duty {self.duty}: right is a share from 0 to 1")
        if not -120 <= self.level_dbm <= 30:
            raise ChannelError(f"Wi-Fi neighbour, level {self.level_dbm}: right is -120 to 30 dBm")
        _checked_width(self.width_mhz)

    @property
    def centre(self) -> float:
        """Centre in MHz."""
        if self.centre_mhz is not None:
            return self.centre_mhz
        return wifi_centre_mhz(self.channel or 0)


@dataclass(frozen=True, slots=True)
class Cost:
    """What a channel would cost a mesh, part by part; no unit, less is better."""

    channel: int
    wifi: float
    own_meshes: float
    reduced_power: float
    bluetooth: float
    noise: float = NOISE

    @property
    def total(self) -> float:
        """Sum of the parts; never zero, as noise is always there."""
        return self.wifi + self.own_meshes + self.reduced_power + self.bluetooth + self.noise


@dataclass(frozen=True, slots=True)
class Advice:
    """Where a mesh should be, and whether the gain is worth the sleepers that a move strands."""

    current: Cost
    best: Cost
    gain_db: float
    move: bool
    costs: tuple[Cost, ...]


def centre_mhz(channel: int) -> int:
    """Centre of channel 11-26: 2405 + 5 (k - 11) MHz (IEEE 802.15.4, 2.4 GHz O-QPSK)."""
    return 2405 + 5 * (_checked(channel) - 11)


def wifi_centre_mhz(channel: int) -> int:
    """Centre of Wi-Fi channel 1-13: 2407 + 5 n MHz; 14: 2484 MHz (IEEE 802.11, 2.4 GHz)."""
    if not 1 <= channel <= 14:
        raise ChannelError(f"Wi-Fi channel {channel}: right is 1 to 14")
    return 2484 if channel == 14 else 2407 + 5 * channel


def overlap_share(channel: int, wifi_mhz: float, width_mhz: float) -> float:
    """Share (0 to 1) of a channel's 2 MHz that lies within a Wi-Fi signal of this centre and width."""
    reach = _checked_width(width_mhz) / 2 + CHANNEL_WIDTH_MHZ / 2 - abs(centre_mhz(channel) - wifi_mhz)
    return min(1.0, max(0.0, reach / CHANNEL_WIDTH_MHZ))


def covered_by_centre(wifi_mhz: float, width_mhz: float) -> frozenset[int]:
    """Channels that a Wi-Fi signal touches: centres nearer than half its width + 1 MHz."""
    return frozenset(k for k in CHANNELS if overlap_share(k, wifi_mhz, width_mhz) > 0)


def wifi_covers(channel: int, width_mhz: float = 20.0) -> frozenset[int]:
    """Channels that Wi-Fi channel 1-14 touches, the width lying evenly about its centre."""
    return covered_by_centre(wifi_centre_mhz(channel), width_mhz)


def free_channels(wifi_channels: Iterable[int], width_mhz: float = 20.0) -> frozenset[int]:
    """Channels that none of these Wi-Fi channels touches."""
    covered: frozenset[int] = frozenset().union(*(wifi_covers(n, width_mhz) for n in wifi_channels))
    return frozenset(CHANNELS) - covered


def channels_in_mask(mask: int) -> frozenset[int]:
    """2.4 GHz channels in a page 0 mask of 32 bits; bits 0-10 belong to other bands and are left out."""
    if not 0 <= mask <= 0x07FF_FFFF:
        raise ChannelError(f"channel mask {mask:#x}: right is page 0, 0x00000000 to 0x07FFFFFF")
    return frozenset(k for k in CHANNELS if mask >> k & 1)


def mask_of(channels: Iterable[int]) -> int:
    """Page 0 mask with the bits of these channels, 11-26."""
    return sum(1 << k for k in {_checked(k) for k in channels})


def cost_of(
    channel: int,
    wifi: Iterable[WifiNeighbour],
    own_meshes: Iterable[int] = (),
    reduced_power_channels: Collection[int] = (),
) -> Cost:
    """What this channel would cost, part by part.

    own_meshes: channels of the firm's other meshes in range, one entry a mesh. reduced_power_channels: where
    the radio must lower its power. Wi-Fi part: sum of duty * 10^((level - threshold) / 10) * overlap share.
    """
    return Cost(
        channel=channel,
        wifi=math.fsum(
            w.duty
            * 10 ** ((w.level_dbm - THRESHOLD_DBM) / 10)
            * overlap_share(channel, w.centre, w.width_mhz)
            for w in wifi
        ),
        own_meshes=OWN_MESH * sum(1 for other in own_meshes if other == channel),
        reduced_power=REDUCED_POWER if channel in reduced_power_channels else 0.0,
        bluetooth=BLUETOOTH if channel == BLUETOOTH_ADVERTISING_CHANNEL else 0.0,
    )


def advise(
    current: int,
    wifi: Collection[WifiNeighbour],
    own_meshes: Collection[int] = (),
    reduced_power_channels: Collection[int] = (),
    allowed: Collection[int] = CHANNELS,
) -> Advice:
    """The cheapest allowed channel, its gain over the current one in dB, and whether to move.

    Move only above 6 dB (common practice, no source): every move strands some sleepers. Between equal costs
    the current channel wins, then a preferred one, then the lowest.
    """
    here = cost_of(current, wifi, own_meshes, reduced_power_channels)
    costs = tuple(cost_of(k, wifi, own_meshes, reduced_power_channels) for k in sorted(allowed))
    best = min((*costs, here), key=lambda c: (c.total, c.channel != current, c.channel not in PREFERRED))
    gain_db = 10 * math.log10(here.total / best.total)
    return Advice(current=here, best=best, gain_db=gain_db, move=gain_db > MOVE_ABOVE_DB, costs=costs)


def _checked(channel: int) -> int:
    if channel not in CHANNELS:
        raise ChannelError(f"channel {channel}: right is 11 to 26")
    return channel


def _checked_width(width_mhz: float) -> float:
    if not 0 < width_mhz <= 100:
        raise ChannelError(f"Wi-Fi width {width_mhz} MHz: right is above 0 and at most 100, mostly 20 or 40")
    return width_mhz
