"""How often a kind of radio fails, from the time that radios of it have served (trade rule C12).

A build with 30 radio-years speaks for itself. With fewer, the other builds of its family are the Gamma prior (shape
k + 1, T years) that its own years are added to, which comes to the bound of the whole family. A family that has served
little keeps its own wide bound: no other family speaks for it, and no failure yet never reads as a rate of nothing.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import NamedTuple

from fleet.planning.rates import FailureRate, failure_rate

ENOUGH_YEARS = 30.0
YEAR = timedelta(days=365.25)


class Build(NamedTuple):
    """A kind of radio: its family, its model and the firmware on it, as codes."""

    family: str
    model: str
    version: str | None


class Period(NamedTuple):
    """One time in service, with the build that is on the radio now: what was on it before, no row says."""

    build: Build
    since: datetime
    until: datetime | None
    failed: bool


class Speaks(StrEnum):
    """Whose years the rate is taken from."""

    BUILD = "build"
    FAMILY = "family"
    FAMILY_WITH_FEW = "family with few years"


@dataclass(frozen=True, slots=True)
class Served:
    """Failures in radio-years."""

    failures: int = 0
    years: float = 0.0

    def __add__(self, other: "Served") -> "Served":
        return Served(self.failures + other.failures, self.years + other.years)


@dataclass(frozen=True, slots=True)
class KindRate:
    """A rate, and whose years it comes from; upper is None only where the family has served no time at all."""

    rate: FailureRate
    speaks: Speaks
    of: str

    @property
    def upper(self) -> float | None:
        """Failures a radio-year at most, with 95 % confidence."""
        return self.rate.upper


def served(periods: Iterable[Period], now: datetime) -> dict[Build, Served]:
    """What each build has served up to now. A radio taken out for another reason adds its years and no failure."""
    found: dict[Build, Served] = {}
    for period in periods:
        ended = period.until is not None and period.until <= now
        until = period.until if ended and period.until else now
        if until > period.since:
            one = Served(int(period.failed and ended), (until - period.since) / YEAR)
            found[period.build] = found.get(period.build, Served()) + one
    return found


def rate_of(build: Build, by_build: Mapping[Build, Served]) -> KindRate:
    """The rate that this build goes by."""
    own = by_build.get(build, Served())
    if own.years >= ENOUGH_YEARS:
        name = f"{build.model} {build.version or 'of unknown firmware'}"
        return KindRate(failure_rate(own.failures, own.years), Speaks.BUILD, name)
    return family_rate(build.family, by_build)


def family_rate(family: str, by_build: Mapping[Build, Served]) -> KindRate:
    """The rate of a family as a whole."""
    whole = sum((each for build, each in by_build.items() if build.family == family), Served())
    speaks = Speaks.FAMILY if whole.years >= ENOUGH_YEARS else Speaks.FAMILY_WITH_FEW
    return KindRate(failure_rate(whole.failures, whole.years), speaks, f"family {family}")
