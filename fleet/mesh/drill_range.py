"""The numbers that a drill may use: a range of its own, out of reach of the live radio while the drill holds it.

A written spare carries the live key, so that two frames under one number would show the key stream of both: the nonce
is the sender's address, this counter and one octet (Zigbee specification; recalled). A drill radiates nothing; its own
range is the second wall. It begins above every number that the live radio may have come to by the end of the time for
which it is held, at twice the upper rate and with the margin (C1), and ends above all that the spare may use meanwhile.
Its last number goes into the ledger, so that whatever is given out later, to a radio or another drill, lies above it.
Once that time is over the live radio may rise into the range: by then the spare must have been wiped.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet.mesh.counters import (
    HALF_WAY,
    MARGIN,
    SAFETY,
    UNKNOWN_RATE,
    CounterError,
    Evidence,
    StartValue,
    frames_in,
    number_to_write,
)

HELD_FOR = timedelta(hours=12)
"""A long working day. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class DrillRange:
    """Numbers from first to last, both included, this drill's alone until that moment. start: how first came about."""

    first: int
    last: int
    until: datetime
    start: StartValue


def drill_range(
    evidence: Iterable[Evidence], now: datetime, rate_upper: float | None, held_for: timedelta = HELD_FOR
) -> DrillRange:
    """The range for a drill that begins now. evidence: everything in the ledger for this key and address.

    rate_upper: frames per second, None where it is not known (50/s). Raises CounterError where the range would come to
    half of the counters: a key so far used is changed, not rehearsed with.
    """
    if held_for <= timedelta(0):
        raise CounterError(f"held for {held_for}: right is a time above 0")
    until = now + held_for
    start = number_to_write(evidence, until, rate_upper)
    first = start.writable()
    rate = UNKNOWN_RATE if rate_upper is None else rate_upper
    last = first + frames_in(held_for, rate, SAFETY) + MARGIN
    if last >= HALF_WAY:
        raise CounterError(
            f"counters up to {last:,} for a drill: right is below {HALF_WAY:,}; change the network key first"
        )
    return DrillRange(first, last, until, start)
