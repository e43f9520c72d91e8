"""Where a counter's course breaks: resets, leaps, two voices, and numbers given out too low (N10).

One radio's counter only rises, and no faster than it sends. A fall means a reset or an older file; falls and
rises in turn mean two radios with one identity.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from statistics import median

from fleet.mesh.counter_ledger import is_believed
from fleet.mesh.counters import MARGIN, SEEN, SLOPES_NEEDED, Evidence
from fleet.snapshots.history_checks import MOST_FRAMES_PER_SECOND, TIMES_USUAL_RATE


class Turn(StrEnum):
    """What is wrong with a line of the ledger, seen against the lines before it."""

    FELL = "fell"
    LEAPT = "leapt"
    GIVEN_TOO_LOW = "given_too_low"


@dataclass(frozen=True, slots=True)
class Break:
    """A line that breaks the course, and the line that shows it."""

    line: Evidence
    turn: Turn
    before: Evidence


def breaks(evidence: Iterable[Evidence]) -> tuple[Break, ...]:
    """Every break under one key, oldest first. Lines whose clock cannot be believed are passed over.

    A leap is a rise past what ten times the usual rate could have sent, and past the step by which a radio may
    store its counter; without a usual rate, past what any radio could have sent.
    """
    lines = sorted((line for line in evidence if is_believed(line)), key=lambda line: line.at)
    return tuple(_breaks(lines, _fastest(lines)))


def _breaks(lines: list[Evidence], fastest: float) -> Iterator[Break]:
    seen: Evidence | None = None
    highest: Evidence | None = None
    given: list[Evidence] = []
    for line in lines:
        if line.kind not in SEEN:
            if highest is not None and line.value <= highest.value:
                yield Break(line, Turn.GIVEN_TOO_LOW, highest)
            given.append(line)
        else:
            if seen is not None and line.value < seen.value:
                yield Break(line, Turn.FELL, seen)
            elif seen is not None and _leaps(line, _start(seen, given, line), fastest):
                yield Break(line, Turn.LEAPT, seen)
            seen = line
        if highest is None or line.value > highest.value:
            highest = line


def _start(seen: Evidence, given: list[Evidence], line: Evidence) -> Evidence:
    """Where the counter began to rise from: the highest number given out that the line shows to be in use."""
    used = (grant for grant in given if seen.value < grant.value <= line.value)
    return max(used, key=lambda grant: grant.value, default=seen)


def _leaps(line: Evidence, start: Evidence, fastest: float) -> bool:
    seconds = (line.at - start.at).total_seconds()
    return line.value - start.value > MARGIN + seconds * fastest


def _fastest(lines: list[Evidence]) -> float:
    """Frames per second that are still believed. The median: one leap must not make itself usual."""
    slopes = [
        (later.value - earlier.value) / (later.at - earlier.at).total_seconds()
        for earlier, later in pairwise(lines)
        if earlier.kind in SEEN
        and later.kind in SEEN
        and later.at > earlier.at
        and later.value >= earlier.value
    ]
    if len(slopes) < SLOPES_NEEDED:
        return MOST_FRAMES_PER_SECOND
    return min(MOST_FRAMES_PER_SECOND, TIMES_USUAL_RATE * median(slopes))
