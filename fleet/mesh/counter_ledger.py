"""Which lines of a counter ledger still decide: years of daily sightings must not fatten the number to write.

Every line bounds the counter from above, by its value and the frames that may have followed. The formula (C1)
takes the highest bound, so a sighting of two years ago, at twice the upper rate, would always win over
yesterday's. But one radio's counter only rises: a later sighting with a value as high says all that the earlier
one could. New voices are born only where a number is given out, so this holds within each stretch between two
such lines. Numbers given out are never dropped.
"""

from collections.abc import Iterable

from fleet.mesh.counters import CLOCK_TOLERANCE, EARLIEST, SEEN, Evidence


def deciding(evidence: Iterable[Evidence]) -> tuple[Evidence, ...]:
    """The lines that can still bound a voice, oldest first; the rest is superseded within its own stretch.

    A line whose clock cannot be believed supersedes nothing and is never dropped.
    """
    lines = sorted(evidence, key=lambda line: line.at)
    kept: list[Evidence] = []
    highest_later = -1
    for line in reversed(lines):
        if line.kind not in SEEN:
            highest_later = -1
        elif is_believed(line):
            if line.value <= highest_later:
                continue
            highest_later = line.value
        kept.append(line)
    return tuple(reversed(kept))


def is_believed(line: Evidence) -> bool:
    """False where the clock that dated the line cannot have been right: after its landing, or before Zigbee."""
    return line.at >= EARLIEST and (line.landed_at is None or line.at <= line.landed_at + CLOCK_TOLERANCE)
