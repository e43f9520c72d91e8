"""Rows to what the month of the book says of copies: how old the newest sound ones were, and what room they showed."""

from collections.abc import Iterable, Mapping
from copy import copy as twin
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import OuterRef, Q, Subquery

from fleet.mesh.capacity import WARN_BELOW, Room
from fleet.mesh.codes import with_check
from fleet.models import JUDGED_GRADES, Mesh, RadioModel, Snapshot
from fleet.planning.spread import spread_of
from fleet.queries.facts import room_in
from reports.facts.digest import AgeBand, Ages, Tight
from reports.queries.digest_standing import in_care
from reports.queries.rounding import tenths

BANDS_HOURS = (24, 48, 168, 720)


@dataclass(frozen=True, slots=True)
class Copies:
    """The newest sound copy of each mesh that had landed and lay here at a moment: when taken, and its tables' use."""

    at: datetime
    newest: Mapping[int, tuple[datetime, dict[str, int]]]

    @classmethod
    def load(cls, moment: datetime) -> "Copies":
        """One statement. A copy counts by its capture; what had not landed by then was no help."""
        here = Q(gone_at=None) | Q(gone_at__gte=moment)
        sound = Snapshot.objects.filter(
            here, grade__in=JUDGED_GRADES, received_at__lt=moment, taken_at__lt=moment
        )
        newest = sound.filter(mesh=OuterRef("pk")).order_by("-taken_at", "-id")
        wanted = in_care().annotate(newest=Subquery(newest.values("pk")[:1])).values("newest")
        rows = Snapshot.objects.filter(pk__in=wanted).values_list("mesh", "taken_at", "table_use")
        return cls(moment, {mesh: (taken_at, use) for mesh, taken_at, use in rows.order_by("mesh")})

    def hours(self) -> list[float]:
        """The ages of them all."""
        return [(self.at - taken_at).total_seconds() / 3600 for taken_at, _ in self.newest.values()]

    def ages(self, meshes: int) -> Ages:
        """Median and 95th percentile; meshes: how many there are, with a copy or without."""
        spread = spread_of(self.hours(), 0.95)
        return Ages(spread.n, tenths(spread.median), tenths(spread.high), meshes - spread.n)

    def bands(self, meshes: int) -> tuple[AgeBand, ...]:
        """Meshes by the age of their newest sound copy, youngest first, last those without one."""
        hours, lower = self.hours(), 0.0
        found = []
        for upper in (*BANDS_HOURS, None):
            top = float("inf") if upper is None else float(upper)
            found.append(AgeBand(upper, sum(lower <= each < top for each in hours)))
            lower = top
        return (*found, AgeBand(None, meshes - len(hours), none=True))

    def rooms(self, meshes: Iterable[Mesh], models: Mapping[int, RadioModel]) -> list[tuple[Mesh, Room]]:
        """Meshes whose headroom is known: the use that the copy shows, the limits of the radio then in service."""
        found = []
        for mesh in meshes:
            if mesh.pk in self.newest and mesh.pk in models:
                then = twin(mesh)
                then.table_use = self.newest[mesh.pk][1]
                room = room_in(then, models[mesh.pk])
                if room.headroom is not None:
                    found.append((mesh, room))
        return found


def is_tight(room: Room) -> bool:
    """Less than 20 % left."""
    return room.headroom is not None and room.headroom < WARN_BELOW


def tight_facts(rooms: list[tuple[Mesh, Room]]) -> tuple[Tight, ...]:
    """The tight ones, tightest first."""
    tight = [(mesh, room) for mesh, room in rooms if is_tight(room)]
    tight.sort(key=lambda each: (each[1].headroom or Decimal(0), each[0].code))
    return tuple(_tight(mesh, room) for mesh, room in tight)


def _tight(mesh: Mesh, room: Room) -> Tight:
    worst = next(each for each in room.resources if each.resource is room.tightest)
    return Tight(
        code=with_check(mesh.code),
        client=mesh.site.client.name,
        resource=worst.resource.value,
        used=worst.used or 0,
        limit=worst.limit.value or 0,
    )
