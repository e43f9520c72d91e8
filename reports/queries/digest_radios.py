"""Rows to what the month of the book says of radios: who led which mesh, failures by family, spares."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, tzinfo

from fleet.models import EndReason, RadioModel, ServicePeriod
from fleet.planning.clusters import Failure, largest_cluster
from fleet.planning.service_years import Speaks, family_rate, served
from fleet.planning.stock import wanted_of
from fleet.queries.facts import period_facts, position_at
from fleet.queries.spares import SpareShelf, Standby
from reports.facts.digest import Cluster, Family
from reports.queries.rounding import tenths


@dataclass(frozen=True, slots=True)
class Service:
    """Every period of every radio that began before a moment, as of that moment."""

    at: datetime
    periods: tuple[ServicePeriod, ...]

    @classmethod
    def load(cls, moment: datetime) -> "Service":
        """Two statements."""
        rows = ServicePeriod.objects.filter(since__lt=moment).select_related(
            "radio__model", "radio__firmware", "mesh__site"
        )
        return cls(moment, tuple(rows.prefetch_related("radio__model__limits").order_by("since", "pk")))

    def in_service(self, moment: datetime) -> list[ServicePeriod]:
        """Those that ran at a moment up to the one loaded for."""
        return [each for each in self.periods if each.since < moment and _runs(each, moment)]

    def models(self, moment: datetime) -> dict[int, RadioModel]:
        """The model of the radio that led each mesh at a moment."""
        return {each.mesh_id: each.radio.model for each in self.in_service(moment)}

    def families(self, shelf: SpareShelf, zone: tzinfo) -> tuple[Family, ...]:
        """Each family that ever served or lies on a shelf."""
        by_build = served(map(period_facts, self.periods), self.at)
        counts: dict[str, int] = defaultdict(int)
        for each in self.in_service(self.at):
            counts[each.radio.model.family] += 1
        failures = self._failures()
        spares = _pooled(shelf.spares)
        names = sorted({build.family for build in by_build} | set(spares))
        found = []
        for name in names:
            rate = family_rate(name, by_build)
            cluster = largest_cluster(failures[name])
            clustered = cluster is not None and cluster.stands_out
            found.append(
                Family(
                    name=name,
                    in_service=counts[name],
                    failures=rate.rate.failures,
                    years=tenths(rate.rate.radio_years) or 0,
                    rate=tenths(_hundred(rate.rate.mean)),
                    upper=tenths(_hundred(rate.upper)),
                    few=rate.speaks is Speaks.FAMILY_WITH_FEW,
                    cluster=_cluster(failures[name], zone),
                    ready=sum(spare.is_ready for spare in spares.get(name, ())),
                    spares=len(spares.get(name, ())),
                    stock_95=wanted_of(counts[name], rate.upper, clustered, service=0.95),
                    stock_99=wanted_of(counts[name], rate.upper, clustered, service=0.99),
                )
            )
        return tuple(found)

    def _failures(self) -> dict[str, list[Failure]]:
        found: dict[str, list[Failure]] = defaultdict(list)
        for each in self.periods:
            if each.why_ended == EndReason.FAILED and each.until is not None and each.until <= self.at:
                found[each.radio.model.family].append(Failure(each.until, position_at(each.mesh.site)))
        return found


def _runs(period: ServicePeriod, moment: datetime) -> bool:
    return period.until is None or period.until > moment


def _pooled(spares: Iterable[Standby]) -> dict[str, list[Standby]]:
    """Spares by family. One that lies in a home is that household's, and no part of the firm's stock."""
    found: dict[str, list[Standby]] = defaultdict(list)
    for spare in spares:
        if spare.row.place is None or spare.row.place.site_id is None:
            found[spare.row.model.family].append(spare)
    return found


def _cluster(failures: list[Failure], zone: tzinfo) -> Cluster | None:
    found = largest_cluster(failures)
    if found is None:
        return None
    return Cluster(found.size, found.first.astimezone(zone).date(), found.last.astimezone(zone).date())


def _hundred(rate: float | None) -> float | None:
    return None if rate is None else rate * 100
