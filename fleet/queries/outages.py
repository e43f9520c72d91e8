"""How long a failure would silence each mesh, and how often its radio fails: read once, asked for many meshes.

The reckoning itself is planning.outage and planning.service_years; what is supposed, and which radio is worth swapping
first, both ask here.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from fleet.models import EndReason, Radio, ServicePeriod
from fleet.planning.estimating import rejoin_minutes
from fleet.planning.freshness import lost_nodes
from fleet.planning.outage import Helper, NotCounted, Outage, Work, chance_there, outage_of
from fleet.planning.readiness import ReadinessFacts, SpareFacts
from fleet.planning.service_years import Build, KindRate, Period, Served, family_rate, rate_of, served
from fleet.queries.facts import class_counts
from fleet.queries.spares import SpareShelf, Standby
from fleet.queries.stands import StandRows


@dataclass(frozen=True, slots=True)
class Pool:
    """A shelf with its spares by code, and for each family the chance that a shared one is there when wanted."""

    shelf: SpareShelf
    by_code: dict[str, Standby]
    there: dict[str, float]

    def helpers(self, radio: Radio, spares: Sequence[SpareFacts]) -> tuple[Helper, ...]:
        """The weighed spares with their chances."""
        return tuple(self._helper(radio, spare) for spare in spares)

    def _helper(self, radio: Radio, spare: SpareFacts) -> Helper:
        standby = self.by_code[spare.code]
        works = self.shelf.record_of(radio, standby).lower_bound
        return Helper(spare, works, 1.0 if spare.at_home else self.there[standby.row.model.family])


@dataclass(slots=True)
class Outages:
    """What the years in service say of each kind of radio."""

    years: dict[Build, Served]
    heads: Counter[str]
    rates: dict[Build, KindRate] = field(default_factory=dict)

    @classmethod
    def load(cls, now: datetime) -> "Outages":
        """One statement, whatever the size of the book."""
        periods = list(_periods())
        heads = Counter(period.build.family for period in periods if period.until is None)
        return cls(served(periods, now), heads)

    def pool(self, shelf: SpareShelf, wait_days: float | None) -> Pool:
        """The spares of a shelf with their chances."""
        return _pool(shelf, self.heads, self.years, wait_days)

    def rate(self, radio: Radio) -> KindRate:
        """The rate that this radio goes by."""
        build = Build(
            radio.model.family, radio.model.code, radio.firmware.version if radio.firmware else None
        )
        if build not in self.rates:
            self.rates[build] = rate_of(build, self.years)
        return self.rates[build]

    def of(
        self, rows: StandRows, facts: ReadinessFacts, pool: Pool, wait_days: float | None
    ) -> Outage | NotCounted:
        """What one failure of this mesh's radio would cost, or why nobody can say."""
        if rows.radio is None:
            return NotCounted.NO_RADIO
        return outage_of(facts, pool.helpers(rows.radio, facts.spares), work_of(rows, facts, wait_days))


def work_of(rows: StandRows, facts: ReadinessFacts, wait_days: float | None) -> Work | None:
    """What bringing the mesh back takes; None where no device is known."""
    if not rows.nodes:
        return None
    age = facts.freshness.age_hours if facts.freshness else None
    lost = lost_nodes(max(age or 0.0, 0.0), rows.stand.joins_per_month or 0.0)
    return Work(rejoin_minutes(class_counts(rows.nodes)), len(rows.nodes), lost, wait_days)


def _periods() -> Iterator[Period]:
    """Every time in service of the book. One statement."""
    rows = ServicePeriod.objects.order_by().values_list(
        "radio__model__family",
        "radio__model__code",
        "radio__firmware__version",
        "since",
        "until",
        "why_ended",
    )
    for family, model, version, since, until, why in rows.iterator():
        yield Period(Build(family, model, version), since, until, why == EndReason.FAILED)


def _pool(
    shelf: SpareShelf, heads: Counter[str], years: dict[Build, Served], wait_days: float | None
) -> Pool:
    shared = (
        spare.row.model.family
        for spare in shelf.spares
        if spare.is_ready and spare.row.place is not None and spare.row.place.site_id is None
    )
    ready = Counter(shared)
    there = {}
    for family in {spare.row.model.family for spare in shelf.spares}:
        upper = family_rate(family, years).upper
        there[family] = chance_there(ready[family], heads[family], upper or 0.0, wait_days)
    return Pool(shelf, {spare.row.code: spare for spare in shelf.spares}, there)
