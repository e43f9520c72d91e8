"""What the page of shelves and vans asks: radios by where they lie, and each family's pool against what is wanted."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from fleet.models import Place, PlaceKind, Radio, RadioState, ServicePeriod
from fleet.planning.clusters import Cluster, Failure, largest_cluster
from fleet.planning.service_years import Build, KindRate, Served, family_rate, served
from fleet.planning.stock import Lying, Pool, pool_of, why_not
from fleet.queries.blank import is_blank, with_proof
from fleet.queries.facts import period_facts
from fleet.queries.failures import failures_of
from fleet.queries.spares import STANDING_BY

AWAY = (RadioState.RETURNED, RadioState.SCRAPPED)


@dataclass(frozen=True, slots=True)
class Lies:
    """One radio that leads no mesh, and why it does not count as a spare (empty where it does)."""

    row: Radio
    why_not: str


@dataclass(frozen=True, slots=True)
class Family:
    """A family's pool, the rate it is reckoned with, and its largest cluster of failures."""

    pool: Pool
    rate: KindRate
    cluster: Cluster | None


@dataclass(frozen=True, slots=True)
class Stock:
    """places: each with its radios, shelves before vans before homes; `loose` lie in no place of the book."""

    places: tuple[tuple[Place, tuple[Lies, ...]], ...]
    loose: tuple[Lies, ...]
    families: tuple[Family, ...]

    @property
    def counting(self) -> int:
        """Spares of the firm's own that count."""
        return sum(len(family.pool.counting) for family in self.families)

    @property
    def counting_in_homes(self) -> int:
        """Spares that would count, but lie in homes and are those households'."""
        return sum(not lies.why_not for place, radios in self.places if place.site_id for lies in radios)

    @property
    def short(self) -> tuple[Family, ...]:
        """Families of which there are too few, or nobody can say."""
        return tuple(family for family in self.families if family.pool.short != 0)


def stock_of(now: datetime) -> Stock:
    """As of now, in three statements."""
    radios = list(
        with_proof(Radio.objects.exclude(state__in=(RadioState.ON_AIR, *AWAY)))
        .select_related("model", "firmware", "place__site")
        .order_by("code")
    )
    lies = {radio.pk: Lies(radio, why_not(lying(radio))) for radio in radios}
    by_place: dict[Place, list[Lies]] = defaultdict(list)
    for radio in radios:
        if radio.place is not None:
            by_place[radio.place].append(lies[radio.pk])
    order = list(PlaceKind.values)
    places = sorted(by_place.items(), key=lambda pair: (order.index(pair[0].kind), pair[0].code))
    return Stock(
        places=tuple((place, tuple(found)) for place, found in places),
        loose=tuple(lies[radio.pk] for radio in radios if radio.place is None),
        families=_families([lying(radio) for radio in radios], now),
    )


def lying(radio: Radio) -> Lying:
    """A radio as decisions see it."""
    firmware, place = radio.firmware, radio.place
    return Lying(
        code=radio.code,
        family=radio.model.family,
        place=place.name if place else None,
        at_a_home=place is not None and place.site_id is not None,
        stands_by=radio.state in STANDING_BY and radio.dead_on_arrival_on is None,
        blank_proven=is_blank(radio),
        firmware_known=firmware is not None,
        firmware_barred=firmware is not None and firmware.policy == "barred",
    )


def recall(batch: str) -> QuerySet[Radio]:
    """Every radio of a batch that the firm or a client still has, with where it is: in service first."""
    found = with_proof(Radio.objects).filter(batch__iexact=batch.strip()).exclude(state__in=AWAY)
    near = found.select_related("model", "firmware", "place__site").prefetch_related("periods__mesh__site")
    return near.order_by("state", "code") if batch.strip() else near.none()


def _families(radios: list[Lying], now: datetime) -> tuple[Family, ...]:
    rows = list(
        ServicePeriod.objects.filter(since__lt=now).select_related(
            "radio__model", "radio__firmware", "mesh__site"
        )
    )
    by_build = served(map(period_facts, rows), now)
    in_service: dict[str, int] = defaultdict(int)
    failures = failures_of(rows)
    for row in rows:
        in_service[row.radio.model.family] += row.until is None
    names = sorted(set(in_service) | {radio.family for radio in radios})
    return tuple(_family(name, radios, in_service[name], failures[name], by_build) for name in names)


def _family(
    name: str,
    radios: list[Lying],
    in_service: int,
    failures: list[Failure],
    by_build: dict[Build, Served],
) -> Family:
    rate, cluster = family_rate(name, by_build), largest_cluster(failures)
    stands_out = cluster is not None and cluster.stands_out
    return Family(pool_of(name, radios, in_service, rate.upper, stands_out), rate, cluster)
