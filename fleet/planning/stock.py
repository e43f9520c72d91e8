"""Which spares count, and how many ought to lie ready (trade rule C13).

A spare counts only where somebody proved it blank, its firmware is known and not barred, and it stands by. A spare in
a home is that household's: it counts there and in no pool. Lead time and service are common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from fleet.planning.rates import demand_mean, least_stock

LEAD_DAYS = 42
SERVICE = 0.95
BATCH = 1
"""For a same-cause event: one more than chance alone asks for, where one was seen."""


@dataclass(frozen=True, slots=True)
class Lying:
    """One radio that does not lead a mesh. None means not known."""

    code: str
    family: str
    place: str | None
    at_a_home: bool
    stands_by: bool
    blank_proven: bool
    firmware_known: bool
    firmware_barred: bool


@dataclass(frozen=True, slots=True)
class Pool:
    """The spares of one family on shelves and in vans, against what ought to lie there.

    wanted is None where the family has served no time at all, so that nobody can say. short is how many to order.
    """

    family: str
    in_service: int
    counting: tuple[str, ...]
    not_counting: tuple[tuple[str, str], ...]
    upper_rate: float | None
    mean_demand: float | None
    wanted: int | None
    for_one_cause: bool

    @property
    def short(self) -> int | None:
        """How many are wanting; 0 where there are enough."""
        return None if self.wanted is None else max(0, self.wanted - len(self.counting))


def why_not(radio: Lying) -> str:
    """Why a radio does not count as a spare; empty where it does."""
    if not radio.stands_by:
        return "it does not stand by"
    if not radio.blank_proven:
        return "nobody has proven it blank"
    if not radio.firmware_known:
        return "its firmware is not known"
    if radio.firmware_barred:
        return "its firmware is barred"
    if radio.place is None:
        return "nobody knows where it lies"
    return ""


def wanted_of(
    in_service: int,
    upper_rate: float | None,
    clustered: bool,
    lead_days: float = LEAD_DAYS,
    service: float = SERVICE,
) -> int | None:
    """How many ought to lie ready: none where none is in service, and nobody can say without a rate."""
    if upper_rate is None:
        return None
    if not in_service:
        return 0
    return least_stock(demand_mean(in_service, upper_rate, lead_days), service) + (BATCH if clustered else 0)


def pool_of(
    family: str,
    radios: Iterable[Lying],
    in_service: int,
    upper_rate: float | None,
    clustered: bool,
    lead_days: float = LEAD_DAYS,
    service: float = SERVICE,
) -> Pool:
    """The pool of a family. upper_rate: failures a radio-year at most, the bound and never the mean.

    clustered: failures of one cause were seen in this family.
    """
    pooled = [radio for radio in radios if radio.family == family and not radio.at_a_home]
    judged = [(radio.code, why_not(radio)) for radio in pooled]
    mean = None if upper_rate is None else demand_mean(in_service, upper_rate, lead_days)
    return Pool(
        family=family,
        in_service=in_service,
        counting=tuple(code for code, why in judged if not why),
        not_counting=tuple((code, why) for code, why in judged if why),
        upper_rate=upper_rate,
        mean_demand=mean,
        wanted=wanted_of(in_service, upper_rate, clustered, lead_days, service),
        for_one_cause=clustered and bool(in_service),
    )
