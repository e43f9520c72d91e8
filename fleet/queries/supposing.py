"""What a supposition would do to the book, mesh by mesh: read, judged twice by the same gates, and nothing written."""

import logging
import secrets
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from fleet.models import EndReason, Mesh, Radio, ServicePeriod
from fleet.planning.estimating import rejoin_minutes
from fleet.planning.freshness import lost_nodes
from fleet.planning.outage import Helper, NotCounted, Work, Yearly, a_year, chance_there, outage_of
from fleet.planning.readiness import Readiness, ReadinessFacts, SpareFacts, assess
from fleet.planning.service_years import Build, KindRate, Period, Served, family_rate, rate_of, served
from fleet.planning.supposed_stays import FAR, kept_back, nearest
from fleet.planning.supposed_tally import Tally
from fleet.planning.supposing import as_supposed
from fleet.queries.facts import class_counts
from fleet.queries.spares import SpareShelf, Standby
from fleet.queries.stands import Rules, StandRows, meshes_of, stand_rows
from fleet.queries.supposed_rows import Supposed

log = logging.getLogger(__name__)

MESHES_A_CHUNK = 100


@dataclass(frozen=True, slots=True)
class Side:
    """One mesh as it is, or as it would be."""

    readiness: Readiness
    yearly: Yearly | NotCounted


@dataclass(frozen=True, slots=True)
class Weighed:
    """One mesh on both sides."""

    mesh: Mesh
    before: Side
    after: Side
    tally: Tally

    @property
    def is_changed(self) -> bool:
        """Whether it would be in another state."""
        return self.before.readiness.state is not self.after.readiness.state


@dataclass(frozen=True, slots=True)
class Trouble:
    """A mesh that could not be judged: what kind of error, and its number in the log."""

    mesh: str
    error: str
    id: str


@dataclass(frozen=True, slots=True)
class Found:
    """What came of some meshes."""

    changed: tuple[Weighed, ...] = ()
    tally: Tally = field(default_factory=Tally)
    troubles: tuple[Trouble, ...] = ()

    def __add__(self, other: "Found") -> "Found":
        return Found(self.changed + other.changed, self.tally + other.tally, self.troubles + other.troubles)


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
class Supposing:
    """What judging every mesh on both sides shares, read once."""

    supposed: Supposed
    now: datetime
    rules: Rules
    years: dict[Build, Served]
    before: Pool
    after: Pool
    rates: dict[Build, KindRate] = field(default_factory=dict)

    @classmethod
    def load(cls, supposed: Supposed, now: datetime) -> "Supposing":
        """Six statements, whatever the size of the book."""
        shelf, periods = SpareShelf.load(), list(_periods())
        years = served(periods, now)
        heads = Counter(period.build.family for period in periods if period.until is None)

        def pool(spares: SpareShelf) -> Pool:
            return _pool(spares, heads, years, supposed.change.wait_days)

        return cls(supposed, now, Rules.load(), years, pool(shelf), pool(supposed.on(shelf)))

    def weigh(self, meshes: Sequence[Mesh]) -> Found:
        """These meshes on both sides; they must come from meshes_of. At most seven statements.

        One that cannot be judged is noted, and the next one follows.
        """
        found = Found()
        for rows in stand_rows(meshes, self.rules, self.now):
            try:
                one = self._one(rows)
            except Exception as error:
                found += Found(troubles=(_noted(rows.mesh, error),))
            else:
                found += Found((one,) if one.is_changed else (), one.tally)
        return found

    def _one(self, rows: StandRows) -> Weighed:
        change, stand = self.supposed.change, rows.stand
        spares = self.before.shelf.for_mesh(rows.mesh, rows.radio, rows.nodes)
        others = spares
        if change.touches_spares:
            others = self.after.shelf.for_mesh(rows.mesh, rows.radio, rows.nodes)
        before = self._side(rows, replace(stand.facts, spares=spares), self.before)
        after = self._side(rows, as_supposed(stand, change, others, self.now), self.after)
        rate = self._rate(rows.radio) if rows.radio else None
        states = before.readiness.state, after.readiness.state
        tally = Tally.of(*states, before.yearly, after.yearly, rate)
        if before.readiness.state is after.readiness.state and rows.radio:
            tally = self._kept_back(tally, after.readiness, others, rows.radio)
        return Weighed(rows.mesh, before, after, tally)

    def _kept_back(self, tally: Tally, after: Readiness, spares: Sequence[SpareFacts], radio: Radio) -> Tally:
        new = self.after.by_code.keys() - self.before.by_code.keys()
        weighed = [spare for spare in spares if spare.code in new]
        families = {self.after.by_code[code].row.model.family for code in new}
        why = kept_back(after, weighed, radio.model.family in families if new else None)
        return tally.kept_by(why, nearest(weighed) if why == FAR else None)

    def _side(self, rows: StandRows, facts: ReadinessFacts, pool: Pool) -> Side:
        return Side(assess(facts), self._yearly(rows, facts, pool))

    def _yearly(self, rows: StandRows, facts: ReadinessFacts, pool: Pool) -> Yearly | NotCounted:
        if rows.radio is None:
            return NotCounted.NO_RADIO
        upper = self._rate(rows.radio).upper
        if upper is None:
            return NotCounted.NO_YEARS
        outage = outage_of(facts, pool.helpers(rows.radio, facts.spares), self._work(rows, facts))
        return outage if isinstance(outage, NotCounted) else a_year(outage, upper)

    def _work(self, rows: StandRows, facts: ReadinessFacts) -> Work | None:
        if not rows.nodes:
            return None
        age = facts.freshness.age_hours if facts.freshness else None
        lost = lost_nodes(max(age or 0.0, 0.0), rows.stand.joins_per_month or 0.0)
        joining = rejoin_minutes(class_counts(rows.nodes))
        return Work(joining, len(rows.nodes), lost, self.supposed.change.wait_days)

    def _rate(self, radio: Radio) -> KindRate:
        build = Build(
            radio.model.family, radio.model.code, radio.firmware.version if radio.firmware else None
        )
        if build not in self.rates:
            self.rates[build] = rate_of(build, self.years)
        return self.rates[build]


def suppose(supposed: Supposed, now: datetime, step: Callable[[int, int], None] | None = None) -> Found:
    """The whole book, a chunk at a time. Nothing is written; the transaction may be one that only reads."""
    shared, found, done = Supposing.load(supposed, now), Found(), 0
    total = Mesh.objects.filter(in_care=True).count() if step else 0
    for _, meshes in in_chunks():
        found += shared.weigh(meshes)
        done += len(meshes)
        if step:
            step(done, total)
    return found


def in_chunks(after: int = 0) -> Iterator[tuple[int, list[Mesh]]]:
    """The meshes in care whose keys lie over `after`, some at a time, each with the key that the chunk ends at.

    Three statements a chunk.
    """
    in_care = Mesh.objects.filter(in_care=True).order_by("pk").values_list("pk", flat=True)
    while keys := list(in_care.filter(pk__gt=after)[:MESHES_A_CHUNK]):
        after = keys[-1]
        yield after, meshes_of(keys)


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


def _noted(mesh: Mesh, error: Exception) -> Trouble:
    """The kind of error only: its text might carry what it was working on. The log has the rest, by this number."""
    number = secrets.token_hex(4)
    kind = type(error).__name__
    log.error("supposing, error %s at mesh %s: %s", number, mesh.code, kind, exc_info=error)
    return Trouble(mesh.code, kind, number)
