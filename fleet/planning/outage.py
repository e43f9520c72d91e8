"""How many hours a year a mesh is expected to be without its radio's network (trade rules C6, C7, C8, C12, C13).

    hours a year = r * E / 60
    E            = least over the spares that could be taken of  a * min(T, H) + (1 - a) * N,  and N
    T            = R + (1 - p) * J + p * (w / n) * J        with a copy: try to restore, join by hand what that leaves
    H            = V + J                                    join all by hand onto the spare
    N            = 24 * 60 * W + J                          no spare: wait for a new radio, then join all by hand

r: upper bound of failures a year of the radio in service (service_years.py). R: restore minutes, the way included, mean
of the three points. J: minutes of joining all n devices by hand, mean of the three points. V: likely way. p: lower
bound of the share of tries that worked for this pair of builds, 0 where nobody tried. w: devices that the verdict
"partly" leaves to be joined again, and those that joined since the copy (lost_nodes). W: days that a new radio takes;
where nobody says, N is not counted. a: chance that a spare from a shelf is there when it is wanted, 1 for one in the
home:

    a = P(D <= s - 1),  D Poisson with mean  n_f * r_f * W / 365

s ready spares of the family, n_f radios of it in service, each spare that goes is ordered anew at once (base stock with
Poisson demand, Palm's theorem; recalled). A spare that is only too far for the promise still ends an outage and counts
here; one that is not blank or has barred firmware does not. The rest is common practice, no source.
"""

from dataclasses import dataclass, replace
from enum import StrEnum

from fleet.planning.estimating import ThreePoints
from fleet.planning.rates import demand_mean, poisson_at_most
from fleet.planning.readiness import ReadinessFacts, SpareFacts, assess

ANY_WAY_HOURS = 24.0 * 365 * 10
"""A promise that no way on this planet is too long for."""


class NotCounted(StrEnum):
    """Why no hours can be said of a mesh."""

    NO_RADIO = "its radio in service is not known"
    NO_YEARS = "its kind of radio has served no time yet"
    NO_DEVICES = "its devices are not known"
    NO_WAIT = "no spare can be taken, and how long a new radio takes was not said"


@dataclass(frozen=True, slots=True)
class Helper:
    """A spare as the gates see it, the chance that a restore onto it works, and that it is there when wanted."""

    spare: SpareFacts
    works: float
    there: float = 1.0


@dataclass(frozen=True, slots=True)
class Work:
    """What bringing one mesh back takes. joining: minutes to join all its devices by hand, no way in it.

    lost: devices that a restore would lose, as they joined since the copy. wait_days: for a new radio.
    """

    joining: ThreePoints
    devices: int
    lost: float = 0.0
    wait_days: float | None = None


@dataclass(frozen=True, slots=True)
class Outage:
    """Expected minutes from failure to back, and how many of them are joining by hand."""

    minutes: float
    by_hand: float

    def mixed(self, share: float, other: "Outage") -> "Outage":
        """This with the chance `share`, else the other."""
        return Outage(
            share * self.minutes + (1 - share) * other.minutes,
            share * self.by_hand + (1 - share) * other.by_hand,
        )


@dataclass(frozen=True, slots=True)
class Yearly:
    """Hours of outage and minutes of joining by hand that are expected a year."""

    hours: float
    joining_minutes: float


def could_be_taken(facts: ReadinessFacts, spare: SpareFacts) -> bool:
    """Whether the gates let this spare count, were the promise long enough for its way."""
    return assess(replace(facts, spares=(spare,), promised_time_hours=ANY_WAY_HOURS)).spare is not None


def outage_of(facts: ReadinessFacts, helpers: tuple[Helper, ...], work: Work | None) -> Outage | NotCounted:
    """What a failure today would cost, or why that cannot be said. work is None where no device is known."""
    if work is None:
        return NotCounted.NO_DEVICES
    joining = work.joining.mean
    none = None if work.wait_days is None else Outage(work.wait_days * 24 * 60 + joining, joining)
    ways = [none] if none else []
    for helper in helpers:
        if could_be_taken(facts, helper.spare):
            taken = _with_spare(facts, helper, work)
            ways.append(taken.mixed(helper.there, none) if none else taken)
    return min(ways, key=lambda way: way.minutes, default=None) or NotCounted.NO_WAIT


def _with_spare(facts: ReadinessFacts, helper: Helper, work: Work) -> Outage:
    spare, joining = helper.spare, work.joining.mean
    by_hand = Outage((0.0 if spare.at_home else spare.reach_minutes or 0.0) + joining, joining)
    if facts.freshness is None or spare.restore_minutes is None:
        return by_hand
    left = min(1.0, ((spare.rejoin_count or 0) + work.lost) / max(work.devices, 1))
    hand = (1 - helper.works) * joining + helper.works * left * joining
    return min(by_hand, Outage(spare.restore_minutes.mean + hand, hand), key=lambda way: way.minutes)


def a_year(outage: Outage, failures_a_year: float) -> Yearly:
    """Of one failure made those of a year."""
    return Yearly(outage.minutes / 60 * failures_a_year, outage.by_hand * failures_a_year)


def chance_there(spares: int, radios: int, failures_a_year: float, wait_days: float | None) -> float:
    """The chance that one of so many shared spares is left when one of so many radios fails.

    1 where nobody says how long a new one takes: how often the shelf is empty is then not counted.
    """
    if wait_days is None:
        return 1.0
    return poisson_at_most(spares - 1, demand_mean(radios, failures_a_year, wait_days))
