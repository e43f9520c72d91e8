"""Rows to what the month of the book says of homes: in which state they stood, since when, and what it would cost."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from decimal import Decimal

from django.db.models import OuterRef, QuerySet, Subquery

from fleet.mesh.codes import with_check
from fleet.models import Mesh, ReadinessChange
from fleet.planning.estimating import cost
from fleet.planning.money import smallest_unit
from fleet.planning.readiness import State
from fleet.planning.state_days import Turn, course, days_of, together, worst
from fleet.queries.incidents import incidents_in
from fleet.queries.told import what_helps, why_it_changed
from reports.facts.digest import DayOfBook, Money, Standing, Troubled
from sites.models import Firm

SHOWN = 40
NAMES = {
    State.BARE: "bare",
    State.UNKNOWN: "unknown",
    State.THIN: "thin",
    State.COVERED_WITH_HANDWORK: "by_hand",
    State.COVERED: "covered",
    None: "unjudged",
}
NOT_COVERED = (State.BARE, State.UNKNOWN, State.THIN)


def in_care() -> QuerySet[Mesh]:
    """The meshes that the month is about."""
    return Mesh.objects.filter(in_care=True, site__client__erased_at=None)


@dataclass(frozen=True, slots=True)
class Judgements:
    """Meshes in care by home, each marked with its incidents, and what each was found to be up to the month's end."""

    homes: dict[int, list[Mesh]]
    changes: dict[int, list[ReadinessChange]]

    @classmethod
    def load(cls, start: datetime, end: datetime) -> "Judgements":
        """Of each mesh the last change before start, and all from there to end. Six statements."""
        homes: dict[int, list[Mesh]] = defaultdict(list)
        meshes = list(in_care().select_related("site__client").order_by("code"))
        incidents_in(in_care()).mark(meshes)
        for mesh in meshes:
            homes[mesh.site_id].append(mesh)
        changes = ReadinessChange.objects.order_by("at", "id")
        last = ReadinessChange.objects.filter(mesh=OuterRef("pk"), at__lt=start).order_by("-at", "-id")
        before = changes.filter(
            pk__in=in_care().annotate(last=Subquery(last.values("pk")[:1])).values("last")
        )
        by_mesh: dict[int, list[ReadinessChange]] = defaultdict(list)
        for change in (*before, *changes.filter(mesh__in=in_care(), at__gte=start, at__lt=end)):
            by_mesh[change.mesh_id].append(change)
        return cls(dict(homes), dict(by_mesh))

    @property
    def meshes(self) -> Iterator[Mesh]:
        """All of them."""
        return (mesh for meshes in self.homes.values() for mesh in meshes)

    def change_at(self, mesh: Mesh, moment: datetime) -> ReadinessChange | None:
        """What a mesh had last been found to be by a moment."""
        found = [change for change in self.changes.get(mesh.pk, ()) if change.at < moment]
        return found[-1] if found else None

    def state_at(self, mesh: Mesh, moment: datetime) -> State | None:
        """The same as a state."""
        change = self.change_at(mesh, moment)
        return State(change.became) if change else None

    def standing_at(self, moment: datetime) -> Standing:
        """Homes by their worst mesh."""
        return _counted(
            worst(self.state_at(mesh, moment) for mesh in meshes) for meshes in self.homes.values()
        )

    def money_at(self, moment: datetime, firm: Firm) -> Money:
        """What joining all of the meshes anew would cost that were not covered, at the firm's hourly rate."""
        open_ones = {
            home: [mesh for mesh in meshes if self.state_at(mesh, moment) in NOT_COVERED]
            for home, meshes in self.homes.items()
        }
        costs = {home: _cost(meshes, firm) for home, meshes in open_ones.items() if meshes}
        known = [each for each in costs.values() if each is not None]
        return Money(
            amount=sum(known, Decimal(0)) if known or not costs else None,
            currency=firm.currency,
            homes=len(costs),
            not_known=len(costs) - len(known),
        )

    def days(
        self, first: date, last: date, zone: tzinfo, looked_on: frozenset[date]
    ) -> tuple[DayOfBook, ...]:
        """Every day of the month with its homes by state; none of a day on which nobody looked."""
        turns = {
            mesh.pk: [Turn(change.at, State(change.became)) for change in self.changes.get(mesh.pk, ())]
            for mesh in self.meshes
        }
        courses = [
            together([course(turns[mesh.pk], first, last, zone, looked_on) for mesh in meshes])
            for meshes in self.homes.values()
        ]
        found = []
        for day in days_of(first, last):
            states = [each[day] for each in courses]
            judged = any(state is not None for state in states)
            found.append(DayOfBook(day, _counted(states) if judged else None))
        return tuple(found)

    def troubled(self, moment: datetime, firm: Firm, zone: tzinfo) -> tuple[Troubled, ...]:
        """Homes that were not covered, worst first, those with locks, heating and alarms before their equals."""
        found = []
        for meshes in self.homes.values():
            bad = [mesh for mesh in meshes if self.state_at(mesh, moment) in NOT_COVERED]
            if bad:
                found.append((self._worst_first(bad, moment), bad))
        found.sort(key=lambda each: self._rank(each[0][0], moment))
        return tuple(self._troubled(first[0], bad, moment, firm, zone) for first, bad in found)

    def _worst_first(self, meshes: list[Mesh], moment: datetime) -> list[Mesh]:
        return sorted(meshes, key=lambda mesh: self._rank(mesh, moment))

    def _rank(self, mesh: Mesh, moment: datetime) -> tuple[int, bool, str]:
        state = self.state_at(mesh, moment) or State.COVERED
        return state.severity, not mesh.safety_relevant, mesh.code

    def _troubled(self, mesh: Mesh, bad: list[Mesh], moment: datetime, firm: Firm, zone: tzinfo) -> Troubled:
        change = self.change_at(mesh, moment)
        assert change is not None
        stands_so = mesh.readiness == change.became
        return Troubled(
            code=with_check(mesh.code),
            client=mesh.site.client.name,
            state=NAMES[State(change.became)],
            since=change.at.astimezone(zone).date(),
            reason=why_it_changed(change),
            act=what_helps(mesh) if stands_so else None,
            cost=_cost(bad, firm),
            stands_so=stands_so,
        )


def _counted(states: Iterable[State | None]) -> Standing:
    counts = dict.fromkeys(NAMES.values(), 0)
    for state in states:
        counts[NAMES[state]] += 1
    return Standing(**counts)


def _cost(meshes: list[Mesh], firm: Firm) -> Decimal | None:
    """None where the devices of one of them were never counted, and where no firm with its hourly rate is entered."""
    if firm.pk is None:
        return None
    minutes = [mesh.rejoin_minutes for mesh in meshes if mesh.rejoin_minutes is not None]
    if len(minutes) < len(meshes):
        return None
    return cost(sum(minutes), Decimal(firm.hourly_rate), smallest_unit(firm.currency))
