"""Headroom: what a head radio can still take, resource by resource, and for how long.

Limits belong to a radio build (model and firmware), not to a model alone. A removed device may still hold a
key entry, so uses are read from the radio's tables and never counted from the node list.
Levels and their thresholds are common practice, no source.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from itertools import combinations
from statistics import median

WARN_BELOW = 0.20
STOP_BELOW = 0.10
MONTH = timedelta(days=365.25 / 12)
SLOPE_WINDOW = timedelta(days=365.25 / 2)
FORESEEN_MONTHS = 120
"""Beyond ten years a line through half a year says nothing about a date."""


class Resource(StrEnum):
    """What a head radio has a limited number of."""

    CHILDREN = "children"
    NEIGHBOURS = "neighbours"
    ROUTES = "routes"
    SOURCE_ROUTES = "source_routes"
    LINK_KEYS = "link_keys"
    BINDINGS = "bindings"
    GROUPS = "groups"
    OBSERVED_CEILING = "observed_ceiling"


NEEDED = (
    Resource.CHILDREN,
    Resource.NEIGHBOURS,
    Resource.ROUTES,
    Resource.SOURCE_ROUTES,
    Resource.LINK_KEYS,
)
"""Without all of these, nobody can say that there is room."""

EASED_BY_ROUTERS = frozenset({Resource.CHILDREN, Resource.NEIGHBOURS})
"""Routers placed elsewhere make room here; keys and bindings stay full."""


class LimitSource(StrEnum):
    """Where a limit is known from."""

    DECLARED = "declared"
    OBSERVED = "observed"


class Level(StrEnum):
    """What the headroom means for adding devices."""

    OK = "ok"
    WARN = "warn"
    STOP = "stop"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Limit:
    """How many entries a radio build can hold; value None means that nobody knows."""

    value: int | None
    source: LimitSource | None = None
    dated: date | None = None

    def __post_init__(self) -> None:
        if self.value is not None and self.value < 0:
            raise ValueError(f"limit {self.value}: right is 0 or more, or None for unknown")


@dataclass(frozen=True, slots=True)
class ResourceRoom:
    """One resource: used, limit, the free share (below 0 when over the limit) and its level."""

    resource: Resource
    used: int | None
    limit: Limit
    headroom: float | None
    level: Level


@dataclass(frozen=True, slots=True)
class Room:
    """All resources of a radio together.

    headroom: the least known free share, None when none is known. tightest: which resource that is.
    unknown: needed resources without a use or a limit; while there is one, level is never ok or warn.
    """

    headroom: float | None
    tightest: Resource | None
    unknown: tuple[Resource, ...]
    level: Level
    resources: tuple[ResourceRoom, ...]


@dataclass(frozen=True, slots=True)
class DatedUse:
    """How many entries were in use at a moment."""

    at: datetime
    used: int


def headroom(used: int | None, limit: int | None) -> float | None:
    """Free share 1 - used/limit, None when either is unknown. A limit of 0 leaves no room: 0.0."""
    if used is None or limit is None:
        return None
    return (limit - used) / limit if limit else 0.0  # one rounding, so that exactly 10 % compares as 10 %


def level_of(share: float | None) -> Level:
    """ok; warn below 20 %; stop adding below 10 %; unknown."""
    if share is None:
        return Level.UNKNOWN
    if share < STOP_BELOW:
        return Level.STOP
    return Level.WARN if share < WARN_BELOW else Level.OK


def room_of(used: Mapping[Resource, int | None], limits: Mapping[Resource, Limit]) -> Room:
    """Headroom of a radio: the least over what is known, and honest about what is not.

    A known stop stays a stop whatever is unknown, as the unknown could only make it worse.
    """
    resources = tuple(_room_for(r, used.get(r), limits.get(r, Limit(None))) for r in Resource)
    unknown = tuple(room.resource for room in resources if room.headroom is None and room.resource in NEEDED)
    known = [(room.headroom, room.resource) for room in resources if room.headroom is not None]
    least, tightest = min(known, key=lambda pair: pair[0], default=(None, None))
    level = level_of(least)
    if unknown and level is not Level.STOP:
        level = Level.UNKNOWN
    return Room(headroom=least, tightest=tightest, unknown=unknown, level=level, resources=resources)


def growth_per_month(uses: Iterable[DatedUse], now: datetime) -> float | None:
    """Median of the slopes of all pairs of uses in the six months before now, in entries a month.

    A month is 30.4375 days. Of each UTC day the last reading counts, as minutes between two readings say
    nothing about months. None with fewer than two days. One odd reading does not move it.
    """
    recent = sorted((u for u in uses if now - SLOPE_WINDOW <= u.at <= now), key=lambda use: use.at)
    of_each_day = {use.at.astimezone(UTC).date(): use for use in recent}.values()
    slopes = [(b.used - a.used) / ((b.at - a.at) / MONTH) for a, b in combinations(of_each_day, 2)]
    return median(slopes) if slopes else None


def months_left(used: int | None, limit: int | None, growth: float | None) -> float | None:
    """Months until full at this growth; 0.0 when full already.

    None when something is unknown or when the use does not grow.
    """
    if used is None or limit is None:
        return None
    if used >= limit:
        return 0.0
    return (limit - used) / growth if growth and growth > 0 else None


@dataclass(frozen=True, slots=True)
class Outlook:
    """Where the tightest table is heading: entries a month, months until it is full, and when that is.

    A growth of None means that nobody can say; without growth there is no date.
    """

    growth: float | None
    months_left: float | None
    full_on: date | None


def outlook(uses: Sequence[DatedUse], used: int | None, limit: int | None, now: datetime) -> Outlook:
    """Carry the growth of the last half year on from what is in use now."""
    growth = growth_per_month(uses, now)
    left = months_left(used, limit, growth)
    soon = left is not None and left <= FORESEEN_MONTHS
    return Outlook(growth, left, (now + left * MONTH).date() if soon and left is not None else None)


def _room_for(resource: Resource, used: int | None, limit: Limit) -> ResourceRoom:
    share = headroom(used, limit.value)
    return ResourceRoom(resource, used, limit, share, level_of(share))
