"""How old the newest sound snapshot may be, for this promise and this home (trade rule C6).

Recovery point: the moment to which what was lost can be brought back; the promised one bounds the age of the
newest sound snapshot at the moment of failure. Recovery time: how long bringing it back may take, from the
call to acceptance by the client. Terms as in NIST SP 800-34 rev. 1 (recovery point and recovery time
objective) and ISO 22301; recalled.

Age runs from the capture of a snapshot, never from its arrival: a job that ran is not a snapshot that landed.
"""

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from enum import StrEnum

from fleet.planning.phrases.ready import Age
from fleet.planning.sentences import Sentence, Span, Unit

MEAN_MONTH_DAYS = 30.4375  # 365.25 / 12
MEAN_MONTH_HOURS = MEAN_MONTH_DAYS * 24


class FreshnessError(ValueError):
    """A promise, a join rate or a share that cannot be right."""


class FreshnessState(StrEnum):
    """Whether the newest sound snapshot is young enough; unjudged where that cannot be said."""

    FRESH = "fresh"
    STALE = "stale"
    UNJUDGED = "unjudged"


@dataclass(frozen=True, slots=True)
class Freshness:
    """The judgement, the figures behind it (None where unknown) and one sentence for a person."""

    state: FreshnessState
    age_hours: float | None
    limit_hours: float | None
    why: Sentence

    @property
    def because(self) -> str:
        """The sentence in English."""
        return self.why.text


JOINS_SEEN_OVER = timedelta(days=365)
"""Joins come with seasons and building work: a year of them is looked at, or as much of it as there is."""

JOINS_SEEN_AT_LEAST = timedelta(days=MEAN_MONTH_DAYS)


def joins_per_month(joined: int, watched: timedelta) -> float | None:
    """The join rate from the nodes that joined while a mesh was watched, up to a year; None under a month of it."""
    if watched < JOINS_SEEN_AT_LEAST:
        return None
    return joined / (watched / timedelta(days=MEAN_MONTH_DAYS))


def lost_nodes(age_hours: float, joins_per_month: float) -> float:
    """How many nodes joined since, and would be lost by a restore, on average."""
    return joins_per_month * age_hours / MEAN_MONTH_HOURS


def chance_none_lost(age_hours: float, joins_per_month: float) -> float:
    """The chance, 0 to 1, that no node joined since the capture; joins come at random (Poisson)."""
    return math.exp(-lost_nodes(age_hours, joins_per_month))


def limit_hours(
    promise_hours: float | None, joins_per_month: float | None, chance: float = 0.9
) -> float | None:
    """The greatest age in hours, or None where neither promise nor join rate is known.

    The lesser of the promised recovery point and the age at which a restore still loses no node with the
    given chance (over 0, under 1): ln(1/chance) / join rate.
    """
    if promise_hours is not None and not promise_hours > 0:
        raise FreshnessError(f"The promised recovery point is {promise_hours} h; it must be more than 0 h.")
    if joins_per_month is not None and not joins_per_month >= 0:
        raise FreshnessError(f"The join rate is {joins_per_month} a month; it must be 0 or more.")
    if not 0 < chance < 1:
        raise FreshnessError(f"The chance of losing no node is {chance}; it must lie between 0 and 1.")
    limits = [] if promise_hours is None else [promise_hours]
    if joins_per_month:
        limits.append(math.log(1 / chance) / joins_per_month * MEAN_MONTH_HOURS)
    return min(limits, default=None)


def judge_freshness(captured_at: datetime | None, now: datetime, limit: float | None) -> Freshness:
    """Judge the newest sound snapshot by its capture time and a limit in hours.

    A capture time in the future means that one of the clocks is wrong: doubtful, and never fresh.
    """
    if captured_at is None:
        return Freshness(FreshnessState.UNJUDGED, None, limit, Age.COPY_UNSAID.of())
    age = (now - captured_at).total_seconds() / 3600
    if age < 0:
        why = Age.COPY_AHEAD.of(span=span_of(-age))
        return Freshness(FreshnessState.UNJUDGED, age, limit, why)
    if limit is None:
        return Freshness(FreshnessState.UNJUDGED, age, None, Age.COPY_NO_LIMIT.of(age=age_of(age)))
    aged, allowed = told_apart(age, limit)
    state = FreshnessState.FRESH if age <= limit else FreshnessState.STALE
    return Freshness(state, age, limit, Age.COPY.of(age=aged, limit=allowed))


def age_of(hours: float) -> Span:
    """An age of 0 or more hours in whole units completed: "under a minute", "119 minutes", "47 hours", "70 days".

    Pages, reasons and messages all say ages so, that one age is one number everywhere.
    """
    return _said(hours, 0, cut=True)[1]


def age_in_words(hours: float) -> str:
    """The same in English."""
    return age_of(hours).text


def span_of(hours: float) -> Span:
    """Any other span of 0 or more hours, rounded: "35 minutes", "1.5 hours", "3.2 days", "14 days"."""
    return _said(hours, 1, cut=False)[1]


def span_in_words(hours: float) -> str:
    """The same in English."""
    return span_of(hours).text


def told_apart(hours: float, limit: float, is_age: bool = True) -> tuple[Span, Span]:
    """A span and its limit, with as many places as show which is greater: "3.22 days" and "3.21 days".

    is_age: cut off, not rounded; without a place where whole units tell enough.
    """
    for places in range(0 if is_age else 1, 7):
        shown, span = _said(hours, places, cut=is_age)
        allowed, limit_span = _said(limit, max(places, 1), cut=False)
        if (shown > allowed) == (hours > limit):
            break
    return span, limit_span


def spans_told_apart(hours: float, limit: float, is_age: bool = True) -> tuple[str, str]:
    """The same in English."""
    span, limit_span = told_apart(hours, limit, is_age)
    return span.text, limit_span.text


def _said(hours: float, places: int, cut: bool) -> tuple[float, Span]:
    """A span as it is said, in hours and as such, with up to so many places, and one fewer from 10 on."""
    count, unit, size = hours / 24, Unit.DAY, 24.0
    if hours < (2 if cut else 1):
        count, unit, size, places = hours * 60, Unit.MINUTE, 1 / 60, max(places - 1, 0)
    elif hours < 48:
        count, unit, size = hours, Unit.HOUR, 1.0
    if count < 1:
        return 0.0, Span(Decimal(0), Unit.MINUTE)
    scale = 10 ** (places if count < 10 else max(places - 1, 0))
    shown = (math.floor(round(count * scale, 6)) if cut else round(count * scale)) / scale
    text = f"{shown:.6f}".rstrip("0").rstrip(".")
    return shown * size, Span(Decimal(text), unit)
