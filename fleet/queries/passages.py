"""Rows of a passage to what decides about it, its page, and which radios a passage would take in."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import OuterRef, Prefetch, QuerySet, Subquery

from fleet.models import (
    FirmwareRelease,
    Mesh,
    Passage,
    PassageRing,
    PassageState,
    PassageTurn,
    PassageUnit,
    Radio,
    RadioState,
    ServicePeriod,
    Snapshot,
)
from fleet.planning.replacing.preflight import Met, copy_before_work
from fleet.planning.rings import Candidate, RingFacts, RingKind, RingStand, Stand, UnitFacts, stand_of
from fleet.queries.readiness import usable
from sites.models import Site

IN_USE = (
    RadioState.ON_AIR,
    RadioState.SHELVED,
    RadioState.BOOKED,
    RadioState.PREPARED,
    RadioState.WIPED,
)
"""Radios that an update is for; what was silenced, lost or sent away needs none."""
ON_THE_BENCH = (RadioState.SHELVED, RadioState.WIPED)


@dataclass(frozen=True, slots=True)
class UnitView:
    """One radio of a ring, the mesh that it leads, and why it cannot be updated now (empty where it can)."""

    row: PassageUnit
    mesh: Mesh | None
    gone: bool
    held: str

    @property
    def is_due(self) -> bool:
        """Still to be updated."""
        return self.row.done_at is None and not self.gone


@dataclass(frozen=True, slots=True)
class RingView:
    """One ring with its standing and its radios."""

    row: PassageRing
    stand: RingStand
    units: tuple[UnitView, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """A passage with all that its page shows."""

    passage: Passage
    stand: Stand
    rings: tuple[RingView, ...]
    turns: tuple[PassageTurn, ...]

    @property
    def current(self) -> RingView | None:
        """The ring that is not passed yet."""
        return next((ring for ring in self.rings if ring.row.passed_at is None), None)

    @property
    def regressed(self) -> tuple[UnitView, ...]:
        """Radios after whose update something went worse."""
        return tuple(unit for ring in self.rings for unit in ring.units if unit.row.regression)


def whole(passages: QuerySet[Passage]) -> QuerySet[Passage]:
    """The same passages with their rings and radios, in three statements."""
    units = PassageUnit.objects.select_related("radio__place__site", "mesh__site")
    rings = Prefetch("rings", PassageRing.objects.prefetch_related(Prefetch("units", units)))
    return passages.select_related("model", "source__model", "target__model").prefetch_related(rings)


def is_gone(unit: PassageUnit, source: FirmwareRelease) -> bool:
    """Whether a radio that was not updated needs it no more: out of use, or on another build by now."""
    radio = unit.radio
    return unit.done_at is None and (radio.firmware_id != source.pk or radio.state not in IN_USE)


def stand(passage: Passage, now: datetime) -> Stand:
    """How the rings stand. The passage must come from whole()."""
    rings = [
        RingFacts(
            kind=RingKind(ring.kind),
            soak_days=ring.soak_days,
            units=tuple(
                UnitFacts(unit.done_at, bool(unit.regression), is_gone(unit, passage.source))
                for unit in ring.units.all()
            ),
            passed=ring.passed_at is not None,
        )
        for ring in passage.rings.all()
    ]
    stopped = passage.state == PassageState.STOPPED
    return stand_of(rings, passage.need, now, stopped, passage.resumed_at)


def card_of(passage: Passage, now: datetime) -> Card:
    """The page of a passage that comes from whole(); five statements more at most."""
    found = stand(passage, now)
    rows = list(passage.rings.all())
    led = led_by([unit.radio_id for ring in rows for unit in ring.units.all() if unit.done_at is None])
    copies = newest_copies(mesh.pk for mesh in led.values())
    rings = tuple(
        RingView(row, standing, tuple(_unit(unit, passage, led, copies, now) for unit in row.units.all()))
        for row, standing in zip(rows, found.rings, strict=True)
    )
    return Card(passage, found, rings, tuple(passage.turns.all()))


def _unit(
    unit: PassageUnit, passage: Passage, led: dict[int, Mesh], copies: dict[int, Snapshot], now: datetime
) -> UnitView:
    gone = is_gone(unit, passage.source)
    mesh = unit.mesh or led.get(unit.radio_id)
    held = ""
    if unit.done_at is None and not gone and mesh is not None:
        held = why_held(copies.get(mesh.pk), now)
    return UnitView(unit, mesh, gone, held)


def why_held(copy: Snapshot | None, now: datetime) -> str:
    """Why nobody may update the radio of a mesh with this newest sound copy; empty where they may."""
    age = None if copy is None else (now - copy.taken_at).total_seconds() / 3600
    met, why, helps = copy_before_work(age)
    return "" if met is Met.YES else f"{why.text} {helps.text if helps else ''}".strip()


def led_by(radios: Iterable[int]) -> dict[int, Mesh]:
    """The mesh that each of these radios leads now."""
    periods = ServicePeriod.objects.filter(radio__in=list(radios), until=None)
    return {row.radio_id: row.mesh for row in periods.select_related("mesh__site")}


def newest_copies(meshes: Iterable[int]) -> dict[int, Snapshot]:
    """The copy that each of these meshes would be brought back from."""
    of_mesh = usable(Snapshot.objects.filter(mesh=OuterRef("pk"))).values("pk")[:1]
    newest = Mesh.objects.filter(pk__in=list(meshes)).annotate(newest=Subquery(of_mesh)).values("newest")
    rows = Snapshot.objects.filter(pk__in=newest.order_by()).only("mesh_id", "taken_at")
    return {row.mesh_id: row for row in rows}


def candidates(source: FirmwareRelease, own: Collection[Site] = ()) -> list[Candidate]:
    """The radios that have this build and could take another. own: homes that are the firm's own. Two statements.

    A spare in a home is that household's, and comes with the rest.
    """
    radios = list(
        Radio.objects.filter(firmware=source, state__in=IN_USE, dead_on_arrival_on=None).select_related(
            "place"
        )
    )
    led = led_by(radio.pk for radio in radios)
    homes = {site.pk for site in own}
    found = (_candidate(radio, led.get(radio.pk), homes) for radio in radios)
    return sorted((each for each in found if each is not None), key=lambda each: each.code)


def _candidate(radio: Radio, mesh: Mesh | None, own: set[int]) -> Candidate | None:
    if mesh is not None:
        if mesh.site_id in own:
            return Candidate(radio.code, RingKind.OWN)
        guards = mesh.safety_relevant or mesh.site.vulnerable_person
        return Candidate(radio.code, RingKind.FEW, guards)
    if radio.state not in ON_THE_BENCH:
        return None
    at_a_home = radio.place is not None and radio.place.site_id is not None
    if at_a_home and radio.place is not None and radio.place.site_id not in own:
        return Candidate(radio.code, RingKind.REST)
    return Candidate(radio.code, RingKind.BENCH)
