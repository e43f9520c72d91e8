"""Whether a round may trust its clock enough to erase by it, and when a round is due.

Erasing is the one act of a round that cannot be undone, and grace time is measured by a clock that somebody may have
set. Three things cast doubt on it: it disagrees with the database's, it has gone back, or more time has passed since
the last round than usually does. Nothing is erased then. Time that may not have passed, or in which no round ran and
nobody could look, is taken off the grace time of every copy that was marked before it. Common practice, no source.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from statistics import median

from fleet.planning.freshness import span_in_words

RHYTHM = timedelta(hours=1)
AT_MINUTE = 5  # after the hour: copies that are taken on the hour have landed by then

CLOCKS_AGREE_WITHIN = timedelta(minutes=5)
GAP_OVER_USUAL, GAP_SLACK = 1.5, timedelta(minutes=15)
USUAL_WITHOUT_HISTORY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class ClockJudgement:
    """Whether to erase by this clock; if not, why, and how much time before this moment is not to be counted."""

    may_erase: bool
    notice: str = ""
    doubted: timedelta = timedelta(0)


def judge_clock(now: datetime, before: Sequence[datetime], off: timedelta = timedelta(0)) -> ClockJudgement:
    """Judge a moment against those of earlier rounds, last begun first.

    off is how far the clock of the machine that begins the round is from the one that `now` was read from.
    """
    if abs(off) > CLOCKS_AGREE_WITHIN:
        because = f"This machine's clock and the database's differ by {_words(abs(off))}"
        return ClockJudgement(False, f"{because}: nothing is erased until they agree.")
    if not before:
        return ClockJudgement(True)
    gap = now - before[0]
    if gap < timedelta(0):
        because = f"The clock has gone back by {_words(-gap)} or more since the last round"
        return ClockJudgement(False, f"{because}: this one erases nothing.")
    usual = usual_gap(before)
    if gap <= usual * GAP_OVER_USUAL + GAP_SLACK:
        return ClockJudgement(True)
    because = f"No round began for {_words(gap)}, or the clock was set forward"
    notice = f"{because}: that time does not count as time to undo an erasure, and this round erases nothing."
    return ClockJudgement(False, notice, gap - usual)


def usual_gap(before: Sequence[datetime]) -> timedelta:
    """The middle one of the gaps between rounds, last begun first; never under an hour, a day without two rounds."""
    gaps = [(later - earlier).total_seconds() for later, earlier in pairwise(before) if later > earlier]
    return max(timedelta(seconds=median(gaps)), RHYTHM) if gaps else USUAL_WITHOUT_HISTORY


def counted_from(mark: datetime, doubts: Iterable[tuple[datetime, timedelta]]) -> datetime:
    """From when grace time counts for a mark: later by all time that was doubted after it.

    doubts are the moments of rounds and how much time before each is not to be counted.
    """
    return mark + sum((doubted for moment, doubted in doubts if moment > mark), timedelta(0))


def slot_of(now: datetime) -> datetime:
    """The hour whose round is the last that was due: rounds are due at five minutes past."""
    return (now - timedelta(minutes=AT_MINUTE)).replace(minute=0, second=0, microsecond=0)


def _words(span: timedelta) -> str:
    return span_in_words(span.total_seconds() / 3600)
