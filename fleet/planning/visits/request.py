"""What a plan is asked for: technicians with their days, visits with their rules, and what each evil weighs."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import TypeVar
from zoneinfo import ZoneInfo

from fleet.planning.estimating import ThreePoints
from fleet.planning.reach import Position
from fleet.planning.visits.span import Span, VisitError, aware
from fleet.planning.visits.travel import Travel


class Rule(StrEnum):
    """A hard rule: no plan may break one; those in WAIVABLE may be waived by a person with a name."""

    LICENCE = "licence"
    SKILL = "skill"
    PART = "part"
    PEOPLE = "people"
    WINDOW = "window"
    PIN = "pin"
    HOURS = "hours"
    REST = "rest"
    PAUSE = "pause"
    WAY = "way"
    WEEKEND = "weekend"
    FROST = "frost"
    DAYLIGHT = "daylight"


WAIVABLE = frozenset({Rule.WEEKEND, Rule.FROST, Rule.DAYLIGHT})


@dataclass(frozen=True, slots=True)
class Licence:
    """A licence of a kind, valid from one day to another, both included, by the calendar where the work is."""

    kind: str
    valid_from: date
    valid_until: date


@dataclass(frozen=True, slots=True)
class RestRules:
    """Rest between two days, the longest day from leaving to being back, the pause, and how much overtime at most.

    Eleven hours between days and a pause within six hours of work are those of Directive 2003/88/EC, articles 3 and 4
    (recalled); the other figures are common practice, no source.
    """

    between_days: timedelta = timedelta(hours=11)
    longest_day: timedelta = timedelta(hours=11)
    pause: timedelta = timedelta(minutes=30)
    pause_within: timedelta = timedelta(hours=6)
    overtime: timedelta = timedelta(minutes=60)


@dataclass(frozen=True, slots=True)
class Technician:
    """One person: base, days (a working window each), licences, skills, and what lies on the van by family.

    Parts are what the van holds when the plan begins; it is not filled up on the way. name is how people call them;
    empty: by the code.
    """

    code: str
    base: Position
    days: tuple[Span, ...]
    licences: tuple[Licence, ...] = ()
    skills: frozenset[str] = frozenset()
    parts: Mapping[str, int] = field(default_factory=dict)
    rest: RestRules = RestRules()
    name: str = ""

    @property
    def called(self) -> str:
        """How sentences name them."""
        return self.name or self.code

    def holds(self, kind: str, day: date) -> bool:
        """Whether a licence of that kind is valid on a day."""
        return any(held.kind == kind and held.valid_from <= day <= held.valid_until for held in self.licences)


@dataclass(frozen=True, slots=True)
class Conditions:
    """When work may be done at a home, beside the client's windows.

    not_before_weekend: only on a working day (of the country) that another follows. frost_limit_c: not on a day whose
    own or next forecast low (lowest_c, degrees Celsius by local date) is below it; without a forecast the plan warns.
    daylight: between sunrise and sunset. waived: who answers for leaving a rule aside.
    """

    not_before_weekend: bool = False
    country: str = ""
    frost_limit_c: float | None = None
    lowest_c: Mapping[date, float] = field(default_factory=dict)
    daylight: bool = False
    waived: Mapping[Rule, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for rule, name in self.waived.items():
            if rule not in WAIVABLE:
                raise VisitError(f"The rule {rule} cannot be waived; only {', '.join(sorted(WAIVABLE))} can.")
            if not name.strip():
                raise VisitError(f"The rule {rule} is waived by nobody; name the person who answers for it.")


@dataclass(frozen=True, slots=True)
class Visit:
    """One stop at a home, from beginning to end within one of its windows.

    minutes is how long it takes; the likely figure is planned. people is 1 or 2: the one who leads holds all that is
    needed, the second what helper_licences say. due is when it is late; value, from 0, is what it is worth to make it,
    against other visits. before is the technician who was there last; pins bind.
    """

    code: str
    home: str
    place: Position
    zone: ZoneInfo
    windows: tuple[Span, ...]
    minutes: ThreePoints
    licences: frozenset[str] = frozenset()
    skills: frozenset[str] = frozenset()
    parts: Mapping[str, int] = field(default_factory=dict)
    people: int = 1
    helper_licences: frozenset[str] = frozenset()
    due: datetime | None = None
    value: float = 0.0
    conditions: Conditions = Conditions()
    before: str | None = None
    pinned_to: str | None = None
    pinned_at: datetime | None = None
    tasks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.people not in (1, 2):
            raise VisitError(f"The visit {self.code} wants {self.people} people; it must be 1 or 2.")
        if self.value < 0:
            raise VisitError(f"The value of visit {self.code} is {self.value}; it must be 0 or more.")
        for moment, name in ((self.due, "due time"), (self.pinned_at, "pinned time")):
            if moment is not None:
                aware(moment, f"{name} of visit {self.code}")


Named = TypeVar("Named", Visit, Technician)


@dataclass(frozen=True, slots=True)
class Weights:
    """What a plan makes least of, in tenths of a minute's drive. Common practice, no source.

    An hour late counts at most late_at_most; a visit that is left out weighs unplanned, and up to twice that by value.
    """

    travel_minute: int = 10
    overtime_minute: int = 15
    late_hour: int = 50
    late_at_most: int = 10_000
    other_technician: int = 200
    unplanned: int = 20_000


@dataclass(frozen=True, slots=True)
class Request:
    """All that a plan is made from."""

    technicians: tuple[Technician, ...]
    visits: tuple[Visit, ...]
    travel: Travel
    weights: Weights = Weights()

    def __post_init__(self) -> None:
        _once((technician.code for technician in self.technicians), "technician")
        _once((visit.code for visit in self.visits), "visit")

    def visit(self, code: str) -> Visit:
        """The visit of a code. Raises VisitError."""
        return _one(self.visits, code, "visit")

    def technician(self, code: str) -> Technician:
        """The technician of a code. Raises VisitError."""
        return _one(self.technicians, code, "technician")


def _one(things: tuple[Named, ...], code: str, kind: str) -> Named:
    for thing in things:
        if thing.code == code:
            return thing
    raise VisitError(
        f"The {kind} {code} is not in this plan; it knows {', '.join(t.code for t in things) or 'none'}."
    )


def _once(codes: Iterable[str], kind: str) -> None:
    twice = [code for code, count in Counter(codes).items() if count > 1]
    if twice:
        raise VisitError(f"The {kind} {twice[0]} is there twice; each must have a code of its own.")
