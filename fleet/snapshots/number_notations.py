"""Channels, channel masks and signed whole numbers in the notations that documents use."""

from fleet.mesh.channels import CHANNELS, centre_mhz
from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.notations import NUMBER, ReadingError, whole_number

_CHANNEL_OF_MHZ = {centre_mhz(channel): channel for channel in CHANNELS}
_BITS = 32
_MOST = 2**31


def from_megahertz(value: JsonValue) -> int:
    """2425 -> channel 15: the centre in MHz (IEEE 802.15.4, 2.4 GHz O-QPSK)."""
    channel = _CHANNEL_OF_MHZ.get(whole_number(value) or 0)
    if channel is None:
        raise ReadingError("a centre in MHz from 2405 to 2480 in steps of 5")
    return channel


def to_megahertz(channel: int, like: JsonValue) -> JsonValue:
    """The channel's centre, as number or text."""
    return NUMBER.write(centre_mhz(channel).to_bytes(2, "big"), like)


def from_channel_list(value: JsonValue) -> int:
    """[11, 15, 20] -> the mask with the bits of these channels."""
    bits = (
        [whole_number(item) for item in value] if isinstance(value, list) and len(value) <= _BITS else [None]
    )
    if any(bit is None or not 0 <= bit < _BITS for bit in bits):
        raise ReadingError("a list of channel numbers from 0 to 31")
    return sum({1 << bit for bit in bits if bit is not None})


def to_channel_list(mask: int, like: JsonValue) -> JsonValue:
    """The mask's channels from the lowest, as numbers or texts."""
    channels = [bit for bit in range(_BITS) if mask >> bit & 1]
    as_text = isinstance(like, list) and any(isinstance(item, str) for item in like)
    return [str(bit) for bit in channels] if as_text else [*channels]


def from_signed(value: JsonValue) -> int:
    """A whole number of at most 32 bits, below zero too."""
    number = whole_number(value)
    if number is None or not -_MOST <= number < _MOST:
        raise ReadingError(f"a whole number from {-_MOST} to {_MOST - 1}")
    return number


def to_signed(number: int, like: JsonValue) -> JsonValue:
    """As number or text."""
    return str(number) if isinstance(like, str) else float(number) if isinstance(like, float) else number
