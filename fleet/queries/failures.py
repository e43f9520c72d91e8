"""How radios fail: rates with their bounds by family, build and age, clusters, dead on arrival, claims due."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Count, Q

from fleet.models import EndReason, Radio, ServicePeriod
from fleet.planning.clusters import Cluster, Failure, largest_cluster
from fleet.planning.radio_ages import AgeBand, Life, by_age
from fleet.planning.rates import binomial_lower
from fleet.planning.service_years import Build, KindRate, Served, family_rate, rate_of, served
from fleet.planning.warranty import Claim, ClaimState, claim_of
from fleet.queries.facts import period_facts, position_at

FIRST = {ClaimState.DUE: 0, ClaimState.UNKNOWN: 1, ClaimState.LATE: 2, ClaimState.NOT_COVERED: 3}


@dataclass(frozen=True, slots=True)
class BuildRate:
    """One build: what it served itself, and the rate that it goes by, which may be its family's."""

    build: Build
    own: Served
    rate: KindRate


@dataclass(frozen=True, slots=True)
class Arrivals:
    """How many radios of a family ever came, and how many of them never worked."""

    came: int
    dead: int

    @property
    def upper(self) -> float | None:
        """The share that may be dead on arrival at most, with 95 % confidence; None where none ever came."""
        return 1 - binomial_lower(self.came - self.dead, self.came) if self.came else None


@dataclass(frozen=True, slots=True)
class FamilyFailures:
    """One family. taken_out: times in service that ended otherwise; they add years and no failure."""

    name: str
    in_service: int
    rate: KindRate
    cluster: Cluster | None
    taken_out: int
    builds: tuple[BuildRate, ...]
    ages: tuple[AgeBand, ...]
    arrivals: Arrivals


@dataclass(frozen=True, slots=True)
class Failed:
    """One radio that failed, the day (at its home) on which it did, and what can be claimed."""

    radio: Radio
    on: date
    dead_on_arrival: bool
    claim: Claim


@dataclass(frozen=True, slots=True)
class Failures:
    """Everything that the page says. claims: of radios that nobody has claimed yet, the nearest last day first."""

    families: tuple[FamilyFailures, ...]
    claims: tuple[Failed, ...]
    claimed: tuple[Failed, ...]

    @property
    def due(self) -> tuple[Failed, ...]:
        """Claims that can still be made."""
        return tuple(each for each in self.claims if each.claim.state is ClaimState.DUE)


def failures_of(rows: Iterable[ServicePeriod]) -> dict[str, list[Failure]]:
    """When and where radios of each family failed in service."""
    found: dict[str, list[Failure]] = defaultdict(list)
    for row in rows:
        if row.why_ended == EndReason.FAILED and row.until is not None:
            found[row.radio.model.family].append(Failure(row.until, position_at(row.mesh.site)))
    return found


def failures(now: datetime, today: date) -> Failures:
    """As of now, in three statements. today: the day by which claims are judged."""
    rows = list(
        ServicePeriod.objects.filter(since__lt=now)
        .select_related("radio__model", "radio__firmware", "mesh__site")
        .order_by("since", "pk")
    )
    arrivals = _arrivals()
    dead = Radio.objects.exclude(dead_on_arrival_on=None).select_related("model")
    found = [*_failed_in_service(rows, now, today), *_dead(dead, today)]
    found.sort(key=_nearest_first)
    return Failures(
        families=_families(rows, arrivals, now),
        claims=tuple(each for each in found if each.claim.state is not ClaimState.CLAIMED),
        claimed=tuple(each for each in found if each.claim.state is ClaimState.CLAIMED),
    )


def _nearest_first(each: Failed) -> tuple[int, date, str]:
    return FIRST.get(each.claim.state, len(FIRST)), each.claim.last_day or each.on, each.radio.code


def _families(
    rows: Sequence[ServicePeriod], arrivals: Mapping[str, Arrivals], now: datetime
) -> tuple[FamilyFailures, ...]:
    by_build = served(map(period_facts, rows), now)
    began: dict[int, datetime] = {}
    lives: dict[str, list[Life]] = defaultdict(list)
    running: dict[str, int] = defaultdict(int)
    taken_out: dict[str, int] = defaultdict(int)
    for row in rows:  # the first on air comes first
        family = row.radio.model.family
        lives[family].append(Life(began.setdefault(row.radio_id, row.since), period_facts(row)))
        running[family] += row.until is None
        taken_out[family] += row.until is not None and row.why_ended != EndReason.FAILED
    seen = failures_of(rows)
    return tuple(
        FamilyFailures(
            name=name,
            in_service=running[name],
            rate=family_rate(name, by_build),
            cluster=largest_cluster(seen[name]),
            taken_out=taken_out[name],
            builds=_builds(name, by_build),
            ages=by_age(lives[name], now),
            arrivals=arrivals.get(name, Arrivals(0, 0)),
        )
        for name in sorted({*lives, *arrivals})
    )


def _builds(family: str, by_build: Mapping[Build, Served]) -> tuple[BuildRate, ...]:
    mine = [each for each in by_build if each.family == family]
    mine.sort(key=lambda each: (each.model, each.version or ""))
    return tuple(BuildRate(each, by_build[each], rate_of(each, by_build)) for each in mine)


def _arrivals() -> dict[str, Arrivals]:
    counts = (
        Radio.objects.order_by()
        .values_list("model__family")
        .annotate(came=Count("pk"), dead=Count("pk", filter=Q(dead_on_arrival_on__isnull=False)))
    )
    return {family: Arrivals(came, dead) for family, came, dead in counts}


def _failed_in_service(rows: Sequence[ServicePeriod], now: datetime, today: date) -> Iterable[Failed]:
    """Each radio by the last time it failed."""
    last: dict[int, ServicePeriod] = {}
    for row in rows:
        if row.why_ended == EndReason.FAILED and row.until is not None and row.until <= now:
            last[row.radio_id] = row
    for row in last.values():
        until = row.until
        assert until is not None
        on = until.astimezone(ZoneInfo(row.mesh.site.time_zone)).date()
        yield _failed(row.radio, on, False, today)


def _dead(radios: Iterable[Radio], today: date) -> Iterable[Failed]:
    for radio in radios:
        if radio.dead_on_arrival_on is not None:
            yield _failed(radio, radio.dead_on_arrival_on, True, today)


def _failed(radio: Radio, on: date, dead: bool, today: date) -> Failed:
    claim = claim_of(on, radio.bought_on, radio.warranty_months, radio.claimed_on, today)
    return Failed(radio, on, dead, claim)
