"""What each mesh brings into the order of swaps: read some hundred meshes at a time, and nothing written.

Gates, outage, spares and rates are those of everything else (stands, outages); nothing is reckoned a second time here.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime
from typing import Any

from fleet.mesh.capacity import EASED_BY_ROUTERS, Level, Room
from fleet.models import Mesh, Place, PlaceKind, Radio, SupportEnd
from fleet.planning.estimating import rejoin_minutes, restore_minutes
from fleet.planning.neighbours import Neighbours
from fleet.planning.outage import NotCounted, Outage
from fleet.planning.priority import MOST_ON_A_TRIP, Act, Growth, SwapFacts
from fleet.planning.reach import Position, great_circle_km, travel_minutes
from fleet.planning.readiness import GateName, Readiness, assess
from fleet.planning.service_years import KindRate, Speaks
from fleet.planning.supposed_tally import RateUsed
from fleet.planning.supposing import USUAL_WAIT_DAYS
from fleet.planning.supposing_words import rate_in_words
from fleet.queries.costs import LONGEST_DRIVE_MINUTES
from fleet.queries.facts import class_counts, position_at, room_in
from fleet.queries.outages import Outages, Pool
from fleet.queries.spares import SpareShelf
from fleet.queries.stands import Rules, StandRows, stand_rows
from fleet.queries.supposing import Trouble, noted
from sites.models import Person
from sites.queries import base_of


@dataclass(frozen=True, slots=True)
class Weighed:
    """One mesh: its figures, and where each comes from in words."""

    mesh: Mesh
    facts: SwapFacts
    told: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class WeighedSome:
    """What came of some meshes."""

    rows: tuple[Weighed, ...]
    troubles: tuple[Trouble, ...]


@dataclass(slots=True)
class Weighing:
    """What weighing every mesh shares, read once."""

    now: datetime
    rules: Rules
    outages: Outages
    pool: Pool
    bases: tuple[tuple[str, Position], ...]
    near: Neighbours[int]
    support: dict[int, SupportEnd]

    @classmethod
    def load(cls, now: datetime) -> "Weighing":
        """Eleven statements, whatever the size of the book."""
        outages = Outages.load(now)
        return cls(
            now=now,
            rules=Rules.load(),
            outages=outages,
            pool=outages.pool(SpareShelf.load(), USUAL_WAIT_DAYS),
            bases=_bases(),
            near=Neighbours(_homes()),
            support={row.model_id: row for row in SupportEnd.objects.all()},
        )

    def weigh(self, meshes: Sequence[Mesh]) -> WeighedSome:
        """These meshes, which must come from stands.meshes_of. At most seven statements.

        One that cannot be weighed is noted, and the next one follows.
        """
        found, troubles = [], []
        for rows in stand_rows(meshes, self.rules, self.now):
            try:
                found.append(self._one(rows))
            except Exception as error:
                troubles.append(noted(rows.mesh, error))
        return WeighedSome(tuple(found), tuple(troubles))

    def _one(self, rows: StandRows) -> Weighed:
        mesh, radio = rows.mesh, rows.radio
        spares = self.pool.shelf.for_mesh(mesh, radio, rows.nodes)
        facts = replace(rows.stand.facts, spares=spares)
        readiness = assess(facts)
        outage = self.outages.of(rows, facts, self.pool, USUAL_WAIT_DAYS)
        rate = self.outages.rate(radio) if radio else None
        act = _act(readiness, copy_is_there=facts.freshness is not None)
        joining = rejoin_minutes(class_counts(rows.nodes)).mean if rows.nodes else None
        room = room_in(mesh, radio.model if radio else None)
        support = self.support.get(radio.model_id) if radio else None
        way, told_way = self._way(mesh)
        swap = SwapFacts(
            code=mesh.code,
            act=act,
            failures_a_year=rate.upper if rate else None,
            rate_of=rate.of if rate else "",
            outage_hours=None if isinstance(outage, NotCounted) else outage.minutes / 60,
            joining_hours=None if joining is None else joining / 60,
            spared=_spared(outage, joining),
            safety=True if mesh.safety_relevant else (False if rows.nodes else None),
            growth=growth_of(room),
            support_days=_days_left(support, self.now.date()),
            work_hours=restore_minutes(len(rows.nodes), work=self.pool.shelf.recorded.work).mean / 60,
            way_hours=way,
            hops_hours=self._hops(mesh),
        )
        return Weighed(
            mesh,
            swap,
            {
                "chance": _rate_words(rate),
                "outage": _outage_words(outage, readiness),
                "joining": _joining_words(len(rows.nodes)),
                "growth": _growth_words(room, swap.growth),
                "support": _support_words(radio, support),
                "way": told_way,
                "act": _act_words(readiness, act),
            },
        )

    def _way(self, mesh: Mesh) -> tuple[float | None, str]:
        """Hours one way from the nearest base, and in words; None where home or base is not known."""
        home = position_at(mesh.site)
        if home is None:
            return None, "where the home lies is not known, so no way is counted"
        if not self.bases:
            return None, "nobody has written down where people or spares are, so no way is counted"
        far, name = min((great_circle_km(base, home), name) for name, base in self.bases)
        minutes = travel_minutes(far).likely
        if minutes > LONGEST_DRIVE_MINUTES:
            return (
                0.0,
                f"{name} is nearest and too far to drive: somebody there does the work, and no way is counted",
            )
        return minutes / 60, f"from {name}, {far:,.0f} km over the ground"

    def _hops(self, mesh: Mesh) -> tuple[float, ...]:
        near = self.near.nearest(mesh.pk, MOST_ON_A_TRIP - 1)
        return tuple(travel_minutes(far).likely / 60 for _, far in near)


def growth_of(room: Room) -> Growth:
    """Whether devices may be added, and whether another radio would help.

    Where only children or neighbours are full, routers elsewhere help and a radio does not; but not where another table
    that nobody knows might be full as well.
    """
    stopped = [each.resource for each in room.resources if each.level is Level.STOP]
    if any(resource not in EASED_BY_ROUTERS for resource in stopped):
        return Growth.STOPPED
    if room.unknown:
        return Growth.UNKNOWN
    return Growth.EASED if stopped else Growth.FREE


def as_data(facts: SwapFacts) -> dict[str, Any]:
    """As plain JSON values; facts_from gives the same back."""
    return asdict(facts)


def facts_from(data: Mapping[str, Any]) -> SwapFacts:
    """What as_data wrote."""
    given = {**data, "act": Act(data["act"]), "growth": Growth(data["growth"])}
    return SwapFacts(**{**given, "hops_hours": tuple(data["hops_hours"])})


def _act(readiness: Readiness, copy_is_there: bool) -> Act:
    if not copy_is_there:
        return Act.SNAPSHOT
    return Act.SWAP if readiness.spare else Act.SPARE


def _act_words(readiness: Readiness, act: Act) -> str:
    """The gate's own words for what is to be done first; empty where the swap is."""
    if act is Act.SWAP:
        return ""
    wanted = GateName.SNAPSHOT if act is Act.SNAPSHOT else GateName.SPARE
    return next(gate.act for gate in readiness.gates if gate.name is wanted)


def _spared(outage: Outage | NotCounted, joining: float | None) -> float:
    """The share of joining that bringing the mesh back is expected to spare: the p of rule C14, as outage.py has it."""
    if isinstance(outage, NotCounted) or not joining:
        return 0.0
    return min(max(1 - outage.by_hand / joining, 0.0), 1.0)


def _days_left(support: SupportEnd | None, today: date) -> int | None:
    return None if support is None else (support.last_day - today).days


def _rate_words(rate: KindRate | None) -> str:
    if rate is None:
        return "no radio in service is on record"
    if rate.upper is None:
        return f"{rate.of} has served no time yet, so nobody can say"
    few = rate.speaks is Speaks.FAMILY_WITH_FEW
    return rate_in_words(RateUsed(rate.of, rate.rate.failures, rate.rate.radio_years, rate.upper, few, 1))


def _outage_words(outage: Outage | NotCounted, readiness: Readiness) -> str:
    if isinstance(outage, NotCounted):
        return str(outage.value)
    spare = f"with spare {readiness.spare}" if readiness.spare else "no spare counts today"
    return f"from failure to back, {spare}; a new radio takes {USUAL_WAIT_DAYS} days"


def _joining_words(devices: int) -> str:
    if not devices:
        return "no device is on record"
    return "1 device, minutes by its class" if devices == 1 else f"{devices} devices, minutes by their class"


def _growth_words(room: Room, growth: Growth) -> str:
    if growth is Growth.UNKNOWN:
        names = ", ".join(each.value.replace("_", " ") for each in room.unknown)
        return f"use or limit not known: {names}"
    tight = next((each for each in room.resources if each.resource is room.tightest), None)
    if tight is None:
        return "nothing is known of its tables"
    said = f"{tight.used} of {tight.limit.value} {tight.resource.value.replace('_', ' ')} in use"
    return f"{said}: routers elsewhere make room, another radio does not" if growth is Growth.EASED else said


def _support_words(radio: Radio | None, support: SupportEnd | None) -> str:
    if radio is None:
        return "no radio in service is on record"
    if support is None:
        return f"nobody wrote down until when {radio.model} is supported"
    return f"{radio.model} is supported until {support.last_day:%Y-%m-%d}: {support.said_by}"


def _bases() -> tuple[tuple[str, Position], ...]:
    """Where trips begin: what people call their base, and shelves and vans. Two statements."""
    places = Place.objects.exclude(kind=PlaceKind.HOME).exclude(latitude=None)
    found = [(place.name, position_at(place)) for place in places]
    people = Person.objects.filter(is_active=True).exclude(base_latitude=None)
    found += [(f"the base of {person}", base_of(person)) for person in people]
    return tuple((name, position) for name, position in found if position is not None)


def _homes() -> dict[int, Position]:
    """Where each mesh in care lies. One statement."""
    rows = Mesh.objects.filter(in_care=True).exclude(site__latitude=None).order_by()
    return {
        key: Position(float(north), float(east))
        for key, north, east in rows.values_list("pk", "site__latitude", "site__longitude")
    }
