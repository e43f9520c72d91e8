"""A change that somebody supposes, and what the gates would then be given; nothing here is ever saved.

The gates themselves stand once, in readiness.py: a supposition only changes the facts that they look at. Spares come
already weighed, as which of them fit is a matter of builds and ways (compatibility.py, reach.py).
"""

from dataclasses import asdict, dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Any

from fleet.planning.capabilities import FirmwareState
from fleet.planning.drills import DrillFacts, judge_drills
from fleet.planning.freshness import judge_freshness, limit_hours
from fleet.planning.readiness import ReadinessFacts, SpareFacts

MOST_ADDED = 500
MOST_DRILL_DAYS = 1830
MOST_POINT_HOURS = 8760
MOST_WAIT_DAYS = 730
MOST_PRICE = Decimal(1_000_000)
USUAL_WAIT_DAYS = 14  # common practice, no source


class SupposingError(ValueError):
    """Something supposed that cannot be; field says where it was typed, the sentence what would be right."""

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field


@dataclass(frozen=True, slots=True)
class AddedSpare:
    """So many radios of one build, blank and proven, at a place. price: of one; None where nobody said."""

    model: str
    version: str
    count: int
    place: str
    price: Decimal | None = None

    def __post_init__(self) -> None:
        _check_within("spare", "count of added spares", self.count, 1, MOST_ADDED)
        if self.price is not None and not (self.price.is_finite() and 0 <= self.price <= MOST_PRICE):
            raise SupposingError(
                "price", f"The price of one {self.model} is {self.price}; write 0 to {MOST_PRICE:,}."
            )


@dataclass(frozen=True, slots=True)
class SupposedPolicy:
    """Another policy on one build."""

    model: str
    version: str
    policy: FirmwareState


@dataclass(frozen=True, slots=True)
class Supposition:
    """All that is supposed at once; empty parts stay as the book has them.

    taken: codes of spares that would be gone. drill_days and point_hours: for every home, whatever its agreement says
    (and, where a home has none, for how old its newest copy may be). wait_days is no change but a figure that the
    hours need: how long a new radio takes to come; None where nobody says.
    """

    added: tuple[AddedSpare, ...] = ()
    taken: tuple[str, ...] = ()
    drill_days: int | None = None
    point_hours: int | None = None
    policies: tuple[SupposedPolicy, ...] = ()
    wait_days: int | None = USUAL_WAIT_DAYS

    def __post_init__(self) -> None:
        for field, name, value, most in (
            ("drill_days", "drill interval", self.drill_days, MOST_DRILL_DAYS),
            ("point_hours", "recovery point", self.point_hours, MOST_POINT_HOURS),
            ("wait_days", "wait for a new radio", self.wait_days, MOST_WAIT_DAYS),
        ):
            if value is not None:
                _check_within(field, name, value, 1, most)
        builds = [(each.model, each.version) for each in self.policies]
        twice = next((build for build in builds if builds.count(build) > 1), None)
        if twice:
            raise SupposingError("firmware", f"{' '.join(twice)} is given two policies; give it one.")

    @property
    def is_empty(self) -> bool:
        """True where nothing of the book would be another."""
        return self == Supposition(wait_days=self.wait_days)

    @property
    def touches_spares(self) -> bool:
        """True where other spares, or spares under another policy, would stand by."""
        return bool(self.added or self.taken or self.policies)

    @property
    def price(self) -> Decimal | None:
        """What the added spares cost; None where there are none, or one has no price."""
        prices = [each.price * each.count for each in self.added if each.price is not None]
        return sum(prices, Decimal(0)) if prices and len(prices) == len(self.added) else None


@dataclass(frozen=True, slots=True)
class Stand:
    """One mesh as the book has it, and the raw figures behind its judgement, so that another limit can be tried.

    captured_at: of the newest sound copy, None where it does not say.
    """

    facts: ReadinessFacts
    captured_at: datetime | None = None
    joins_per_month: float | None = None
    drills: tuple[DrillFacts, ...] = ()


def as_supposed(
    stand: Stand, change: Supposition, spares: tuple[SpareFacts, ...], now: datetime
) -> ReadinessFacts:
    """What the gates would look at; spares are those that would stand by.

    What the book does not know stays unknown: no agreement comes into being by another interval.
    """
    facts = replace(stand.facts, spares=spares)
    if change.point_hours is not None:
        facts = _with_point(facts, stand, change.point_hours, now)
    if change.drill_days is not None and facts.drill is not None:
        facts = replace(facts, drill=judge_drills(stand.drills, change.drill_days, now))
    return facts


def _with_point(facts: ReadinessFacts, stand: Stand, hours: int, now: datetime) -> ReadinessFacts:
    if facts.promised_point_hours is not None:
        facts = replace(facts, promised_point_hours=float(hours))
    if facts.freshness is None:
        return facts
    limit = limit_hours(hours, stand.joins_per_month)
    return replace(facts, freshness=judge_freshness(stand.captured_at, now, limit))


def as_data(change: Supposition) -> dict[str, Any]:
    """As plain JSON values; from_data gives the same back."""
    data = asdict(change)
    for each in data["added"]:
        each["price"] = None if each["price"] is None else str(each["price"])
    return data


def from_data(data: dict[str, Any]) -> Supposition:
    """What as_data wrote."""
    added = (
        AddedSpare(**{**each, "price": None if each["price"] is None else Decimal(each["price"])})
        for each in data["added"]
    )
    policies = (
        SupposedPolicy(each["model"], each["version"], FirmwareState(each["policy"]))
        for each in data["policies"]
    )
    given = {**data, "added": tuple(added), "policies": tuple(policies), "taken": tuple(data["taken"])}
    return Supposition(**given)


def _check_within(field: str, name: str, value: int, least: int, most: int) -> None:
    if not least <= value <= most:
        raise SupposingError(field, f"The {name} is {value}; write {least} to {most}.")
