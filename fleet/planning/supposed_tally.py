"""What a supposition comes to over many meshes: sums that add up, chunk by chunk."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields, replace
from typing import Any

from fleet.planning.outage import NotCounted, Yearly
from fleet.planning.readiness import State
from fleet.planning.service_years import KindRate, Speaks

TO = " to "


@dataclass(frozen=True, slots=True)
class Move:
    """So many meshes that go from one state to another, or stay in theirs."""

    was: State
    becomes: State
    meshes: int

    @property
    def better(self) -> bool:
        return self.becomes.severity > self.was.severity

    @property
    def worse(self) -> bool:
        return self.becomes.severity < self.was.severity


@dataclass(frozen=True, slots=True)
class RateUsed:
    """A rate that hours were counted with, and for how many meshes."""

    of: str
    failures: int
    years: float
    upper: float
    few: bool
    meshes: int

    @property
    def of_hundred(self) -> float:
        """Failures of 100 radios in a year, at most."""
        return self.upper * 100


@dataclass(frozen=True, slots=True)
class Tally:
    """Sums over meshes. Hours and joining are a year's, over the meshes where both sides can be counted.

    moves: meshes by "state to state", those that stay among them. shifted: meshes that stay in their state, but whose
    hours change. left_out: meshes without hours, by reason. rates: by whose years speak. kept_back: meshes that are
    not covered and stay in their state, by what keeps them (supposed_stays); nearest_minutes: the shortest way of an
    added spare to one of those for which it is too far.
    """

    moves: Mapping[str, int] = field(default_factory=dict)
    counted: int = 0
    hours_before: float = 0.0
    hours_after: float = 0.0
    joining_before: float = 0.0
    joining_after: float = 0.0
    shifted: int = 0
    left_out: Mapping[str, int] = field(default_factory=dict)
    rates: Mapping[str, dict[str, Any]] = field(default_factory=dict)
    kept_back: Mapping[str, int] = field(default_factory=dict)
    nearest_minutes: float | None = None

    def kept_by(self, why: str, minutes: float | None) -> "Tally":
        """The same of one mesh, with what keeps it in its state (empty: nobody can say)."""
        return replace(self, kept_back={why: 1}, nearest_minutes=minutes) if why else self

    @classmethod
    def of(
        cls,
        was: State,
        becomes: State,
        before: Yearly | NotCounted,
        after: Yearly | NotCounted,
        rate: KindRate | None = None,
    ) -> "Tally":
        """One mesh."""
        moves = {f"{was}{TO}{becomes}": 1}
        if isinstance(before, NotCounted) or isinstance(after, NotCounted):
            why = before if isinstance(before, NotCounted) else after
            return cls(moves, left_out={str(why): 1})
        return cls(
            moves,
            1,
            before.hours,
            after.hours,
            before.joining_minutes,
            after.joining_minutes,
            int(was is becomes and hours_differ(before.hours, after.hours)),
            rates={rate.of: _used(rate)} if rate else {},
        )

    def __add__(self, other: "Tally") -> "Tally":
        sums = {
            each.name: getattr(self, each.name) + getattr(other, each.name)
            for each in fields(self)
            if each.name not in ("moves", "left_out", "rates", "kept_back", "nearest_minutes")
        }
        ways = [each for each in (self.nearest_minutes, other.nearest_minutes) if each is not None]
        rates = {name: dict(used) for name, used in self.rates.items()}
        for name, used in other.rates.items():
            rates[name] = {**used, "meshes": used["meshes"] + rates.get(name, {"meshes": 0})["meshes"]}
        return Tally(
            moves=_summed(self.moves, other.moves),
            left_out=_summed(self.left_out, other.left_out),
            rates=rates,
            kept_back=_summed(self.kept_back, other.kept_back),
            nearest_minutes=min(ways) if ways else None,
            **sums,
        )

    def as_data(self) -> dict[str, Any]:
        """As plain JSON values; Tally(**data) gives the same back."""
        return asdict(self)

    @property
    def all_moves(self) -> list[Move]:
        """Worst outcome first."""
        pairs = ((name.split(TO), meshes) for name, meshes in self.moves.items())
        found = [Move(State(was), State(becomes), meshes) for (was, becomes), meshes in pairs]
        return sorted(found, key=lambda move: (move.becomes.severity, move.was.severity))

    @property
    def meshes(self) -> int:
        return sum(self.moves.values())

    @property
    def changed(self) -> int:
        """Meshes that would be in another state."""
        return sum(move.meshes for move in self.all_moves if move.was is not move.becomes)

    @property
    def staying(self) -> list[Move]:
        """Meshes that stay in their state, worst first."""
        return [move for move in self.all_moves if move.was is move.becomes]

    @property
    def rates_used(self) -> list[RateUsed]:
        """The rates, the highest first."""
        used = [RateUsed(of=name, **values) for name, values in self.rates.items()]
        return sorted(used, key=lambda rate: -rate.upper)


def hours_differ(before: float, after: float) -> bool:
    """Whether two sums of the same terms are more than rounding apart."""
    return abs(before - after) > 1e-9 * max(1.0, abs(before))


def _used(rate: KindRate) -> dict[str, Any]:
    return {
        "failures": rate.rate.failures,
        "years": rate.rate.radio_years,
        "upper": rate.upper,
        "few": rate.speaks is Speaks.FAMILY_WITH_FEW,
        "meshes": 1,
    }


def _summed(one: Mapping[str, int], other: Mapping[str, int]) -> dict[str, int]:
    return {name: one.get(name, 0) + other.get(name, 0) for name in {**one, **other}}
