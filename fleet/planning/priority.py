"""Which radio is worth swapping first, and why: every term shown (trade rule C14).

    worth  = value / visit hours
    value  = P * (outage + joining + safety) + growth stop + end of support
    P      = 1 - exp(-rate)                     chance of a failure within twelve months
    outage = hours without the network * what one of them weighs
    joining = (1 - p) * C_j                     hours of joining by hand that a restore does not spare

All of it is in hours of the firm's work, so that the order does not hang on an hourly rate. rate is the upper bound of
service_years.py, outage and p come from outage.py. Visit hours are those of the act that helps first: the work at the
home and the share of the way, which neighbours may share. What is not known is taken as the worst that could be, or
that the book knows, and never as nothing: missing data raises a home and never sinks it. A way that is not known costs
nothing here, for the same reason. Weights are common practice, no source.

A home without a copy is first helped by a snapshot: a new radio there means that everything is joined by hand at once.
Its value stays that of the home; its hours are those of reading a copy out, so that it is not sunk by what it lacks.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

MONTHS_12_DAYS = 365
LEAST_VISIT_HOURS = 0.25
"""Nobody goes anywhere and does anything in less."""
MOST_ON_A_TRIP = 4
"""Homes that one trip takes, this one included."""
WORST_JOINING_HOURS = 8.0
WORST_OUTAGE_HOURS = 14 * 24.0
"""What is taken where no home of the book knows better: a day of joining, and two weeks for a new radio."""
SNAPSHOT_HOURS = 0.25
"""Reading a copy out at the home; some two minutes of it are the reading itself (common practice)."""


class PriorityError(ValueError):
    """A figure that cannot be right; the sentence names it."""


class Act(StrEnum):
    """What helps a home first."""

    SNAPSHOT = "snapshot"
    SPARE = "spare"
    SWAP = "swap"

    @property
    def words(self) -> str:
        """As people read it."""
        return _ACTS[self]


_ACTS = {
    Act.SNAPSHOT: "take a snapshot first",
    Act.SPARE: "get a radio that fits first",
    Act.SWAP: "swap the radio",
}


class Growth(StrEnum):
    """Whether devices may be added. EASED: they may not, but routers elsewhere make room and another radio does not."""

    FREE = "free"
    EASED = "eased"
    STOPPED = "stopped"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Weights:
    """What the terms weigh, in hours of work, each 0 or more. Common practice, no source.

    outage_hour: one hour without the network. safety: a failure in a home with locks, heating or alarms. growth: that
    nothing can be added. support: a year in which nobody mends the radio's firmware any more.
    """

    outage_hour: float = 0.25
    safety: float = 40.0
    growth: float = 4.0
    support: float = 2.0

    def __post_init__(self) -> None:
        for name in ("outage_hour", "safety", "growth", "support"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value >= 0):
                raise PriorityError(f"The weight {name} is {value}; it must be a number, 0 or more.")


@dataclass(frozen=True, slots=True)
class SwapFacts:
    """What is known of one mesh. None means not known.

    failures_a_year: upper bound, and whose years it comes from. outage_hours: from failure to back. joining_hours: all
    devices by hand. spared: share of that joining which a restore is expected to spare, 0 where nobody tried.
    support_days: until support ends, 0 or below where it has. work_hours: at the home, for the swap. way_hours: there,
    one way. hops_hours: from the home to its neighbours, nearest first.
    """

    code: str
    act: Act
    failures_a_year: float | None
    rate_of: str
    outage_hours: float | None
    joining_hours: float | None
    spared: float
    safety: bool | None
    growth: Growth
    support_days: int | None
    work_hours: float
    way_hours: float | None
    hops_hours: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        for name in ("failures_a_year", "outage_hours", "joining_hours", "work_hours", "way_hours"):
            value = getattr(self, name)
            if value is not None and not (math.isfinite(value) and value >= 0):
                raise PriorityError(f"{self.code}: {name} is {value}; it must be a number, 0 or more.")
        if not 0 <= self.spared <= 1:
            raise PriorityError(
                f"{self.code}: the share spared is {self.spared}; it must lie between 0 and 1."
            )


@dataclass(frozen=True, slots=True)
class Worst:
    """What stands in for a figure that is not known: the worst that any home of the book has."""

    outage_hours: float = WORST_OUTAGE_HOURS
    joining_hours: float = WORST_JOINING_HOURS

    def __or__(self, other: "Worst") -> "Worst":
        return Worst(max(self.outage_hours, other.outage_hours), max(self.joining_hours, other.joining_hours))


class TermName(StrEnum):
    """The terms, in the order of the formula."""

    OUTAGE = "outage"
    JOINING = "joining"
    SAFETY = "safety"
    GROWTH = "growth"
    SUPPORT = "support"


@dataclass(frozen=True, slots=True)
class Term:
    """One term: its hours before the chance, what it adds to the value, and whether its figure is known.

    multiplied: it counts only with the chance of a failure.
    """

    name: TermName
    hours: float
    adds: float
    known: bool
    multiplied: bool


@dataclass(frozen=True, slots=True)
class Place:
    """One mesh in the order: its terms, and what they come to. travel_hours is its share of the way; None: not known.

    shared_with: how many neighbours the trip takes too. worth: hours of harm averted for each hour of the visit.
    """

    facts: SwapFacts
    chance: float
    chance_known: bool
    terms: tuple[Term, ...]
    value: float
    work_hours: float
    travel_hours: float | None
    shared_with: int
    visit_hours: float
    worth: float

    def term(self, name: TermName) -> Term:
        """The term of that name."""
        return next(each for each in self.terms if each.name is name)

    @property
    def unknown(self) -> tuple[str, ...]:
        """What was not known and is taken as the worst."""
        found = () if self.chance_known else ("chance",)
        return (*found, *(term.name.value for term in self.terms if not term.known))


def chance_within_a_year(failures_a_year: float | None) -> float:
    """1 - exp(-rate); 1 where no rate is known, as its bound knows no end. [0.08 a year: 7.7 %]"""
    return 1.0 if failures_a_year is None else -math.expm1(-failures_a_year)


def shared_travel(way_hours: float, hops_hours: Sequence[float]) -> tuple[float, int]:
    """One home's share of a trip there, past some neighbours and back, and how many of these the trip takes.

    As many neighbours as make the share least, up to MOST_ON_A_TRIP homes in all.
    """
    shares = [
        ((2 * way_hours + math.fsum(hops_hours[:taken])) / (taken + 1), taken)
        for taken in range(min(len(hops_hours), MOST_ON_A_TRIP - 1) + 1)
    ]
    return min(shares)


def worst_of(facts: Iterable[SwapFacts]) -> Worst:
    """The worst outage and joining that are known, and never less than the usual worst."""
    found = Worst()
    for each in facts:
        found |= Worst(each.outage_hours or 0.0, each.joining_hours or 0.0)
    return found


def place_of(facts: SwapFacts, weights: Weights, worst: Worst) -> Place:
    """One mesh weighed."""
    chance = chance_within_a_year(facts.failures_a_year)
    terms = _terms(facts, weights, worst, chance)
    value = math.fsum(term.adds for term in terms)
    work = SNAPSHOT_HOURS if facts.act is Act.SNAPSHOT else facts.work_hours
    travel, taken = (None, 0) if facts.way_hours is None else shared_travel(facts.way_hours, facts.hops_hours)
    visit = max(work + (travel or 0.0), LEAST_VISIT_HOURS)
    return Place(
        facts=facts,
        chance=chance,
        chance_known=facts.failures_a_year is not None,
        terms=terms,
        value=value,
        work_hours=work,
        travel_hours=travel,
        shared_with=taken,
        visit_hours=visit,
        worth=value / visit,
    )


def in_order(facts: Iterable[SwapFacts], weights: Weights | None = None) -> list[Place]:
    """The whole book, the greatest worth first; of equals, by code."""
    book = list(facts)
    worst = worst_of(book)
    weighed = [place_of(each, weights or Weights(), worst) for each in book]
    return sorted(weighed, key=lambda place: (-place.worth, place.facts.code))


def _terms(facts: SwapFacts, weights: Weights, worst: Worst, chance: float) -> tuple[Term, ...]:
    outage = worst.outage_hours if facts.outage_hours is None else facts.outage_hours
    joining = worst.joining_hours if facts.joining_hours is None else facts.joining_hours
    spared = 0.0 if facts.joining_hours is None else facts.spared
    stops = facts.growth in (Growth.STOPPED, Growth.UNKNOWN)
    with_chance = (
        (TermName.OUTAGE, outage * weights.outage_hour, facts.outage_hours is not None),
        (TermName.JOINING, (1 - spared) * joining, facts.joining_hours is not None),
        (TermName.SAFETY, 0.0 if facts.safety is False else weights.safety, facts.safety is not None),
    )
    alone = (
        (TermName.GROWTH, weights.growth if stops else 0.0, facts.growth is not Growth.UNKNOWN),
        (
            TermName.SUPPORT,
            weights.support * _share_without_support(facts.support_days),
            facts.support_days is not None,
        ),
    )
    return (
        *(Term(name, hours, chance * hours, known, multiplied=True) for name, hours, known in with_chance),
        *(Term(name, hours, hours, known, multiplied=False) for name, hours, known in alone),
    )


def _share_without_support(days: int | None) -> float:
    """Which part of the coming year is without support: all of it where it has ended or nobody knows."""
    if days is None:
        return 1.0
    return min(max((MONTHS_12_DAYS - days) / MONTHS_12_DAYS, 0.0), 1.0)
