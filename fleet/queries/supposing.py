"""What a supposition would do to the book, mesh by mesh: read, judged twice by the same gates, and nothing written."""

import logging
import secrets
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from fleet.models import Mesh, Radio
from fleet.planning.outage import NotCounted, Yearly, a_year
from fleet.planning.readiness import Readiness, ReadinessFacts, SpareFacts, assess
from fleet.planning.supposed_stays import FAR, kept_back, nearest
from fleet.planning.supposed_tally import Tally
from fleet.planning.supposing import as_supposed
from fleet.queries.outages import Outages, Pool
from fleet.queries.spares import SpareShelf
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


@dataclass(slots=True)
class Supposing:
    """What judging every mesh on both sides shares, read once."""

    supposed: Supposed
    now: datetime
    rules: Rules
    outages: Outages
    before: Pool
    after: Pool

    @classmethod
    def load(cls, supposed: Supposed, now: datetime) -> "Supposing":
        """Seven statements, whatever the size of the book."""
        shelf, outages, wait_days = SpareShelf.load(), Outages.load(now), supposed.change.wait_days
        before, after = outages.pool(shelf, wait_days), outages.pool(supposed.on(shelf), wait_days)
        return cls(supposed, now, Rules.load(), outages, before, after)

    def weigh(self, meshes: Sequence[Mesh]) -> Found:
        """These meshes on both sides; they must come from meshes_of. At most seven statements.

        One that cannot be judged is noted, and the next one follows.
        """
        found = Found()
        for rows in stand_rows(meshes, self.rules, self.now):
            try:
                one = self._one(rows)
            except Exception as error:
                found += Found(troubles=(noted(rows.mesh, error),))
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
        rate = self.outages.rate(rows.radio) if rows.radio else None
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
        upper = self.outages.rate(rows.radio).upper if rows.radio else None
        if rows.radio is not None and upper is None:
            return NotCounted.NO_YEARS
        outage = self.outages.of(rows, facts, pool, self.supposed.change.wait_days)
        return outage if isinstance(outage, NotCounted) else a_year(outage, upper or 0.0)


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


def noted(mesh: Mesh, error: Exception) -> Trouble:
    """The kind of error only: its text might carry what it was working on. The log has the rest, by this number."""
    number = secrets.token_hex(4)
    kind = type(error).__name__
    log.error("supposing, error %s at mesh %s: %s", number, mesh.code, kind, exc_info=error)
    return Trouble(mesh.code, kind, number)
