"""One storm played through once: who drives where with what, and the minute at which each mesh is back.

Each minute of work and of every way is drawn between its low and high value (beta distribution with the mean
(low + 4 likely + high) / 6, PERT, as in estimating; recalled). The rules, common practice, no source:

- whoever can set out first does; of equals, the first of the list;
- they go to the meshes with locks, heating or alarms first, of these to the nearest by likely way, a spare that must be
  fetched included;
- a spare is fetched for one mesh at a time; one in the van of somebody who goes is brought by nobody else;
- where two must go, whoever else is free first comes too, straight to the home; both stay to the end;
- nobody sets out in a shift for what likely does not fit into it any more, unless it is the first of that shift; what
  is begun is finished. After a shift everybody goes home and rests;
- a try to restore that fails adds to the joining by hand; where trying first is expected to take longer than joining
  all at once, nobody tries.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from random import Random

from fleet.planning.estimating import ThreePoints
from fleet.planning.reach import Position, great_circle_km, travel_minutes
from fleet.planning.storm.case import Case, Fit, Goer, OutMesh, StormSpare
from fleet.planning.storm.matching import matched


def drawn(points: ThreePoints, draw: Random) -> float:
    """A value between low and high, likely near likely."""
    span = points.high - points.low
    if span <= 0:
        return points.likely
    rises, falls = (points.likely - points.low) / span, (points.high - points.likely) / span
    return points.low + span * draw.betavariate(1 + 4 * rises, 1 + 4 * falls)


@dataclass(slots=True)
class Played:
    """A case made ready for many runs: what does not change from one to the next is worked out once."""

    case: Case
    fits: dict[str, Fit]
    meshes: dict[str, OutMesh]
    spares: dict[str, StormSpare]
    _ways: dict[tuple[Position, Position], ThreePoints] = field(default_factory=dict)

    @classmethod
    def of(cls, case: Case) -> "Played":
        """Spares are given out once, whatever the draws."""
        reachable = [mesh for mesh in case.meshes if mesh.position is not None]
        fits = matched(reachable)
        return cls(
            case,
            fits,
            {mesh.code: mesh for mesh in case.meshes},
            {spare.code: spare for spare in case.spares},
        )

    def way(self, start: Position, end: Position) -> ThreePoints:
        """Minutes from door to door."""
        if (start, end) not in self._ways:
            self._ways[start, end] = travel_minutes(great_circle_km(start, end))
        return self._ways[start, end]

    def legs(self, start: Position, mesh: OutMesh, goer: Goer) -> list[ThreePoints]:
        """From where somebody is to the home, by way of the spare where it must be fetched."""
        spare, home = self.spares[self.fits[mesh.code].spare], _there(mesh)
        if spare.holder == goer.code or spare.home == mesh.home:
            return [self.way(start, home)]
        return [self.way(start, spare.position), self.way(spare.position, home)]

    def run(self, draw: Random) -> dict[str, float]:
        """The minute at which each mesh is back, by code; a mesh that is not back by the horizon is left out."""
        return _Run(self, draw).play()


@dataclass(slots=True)
class _Hand:
    """Somebody under way. fresh: they have done nothing yet in this shift and are at their base."""

    goer: Goer
    at: Position
    free: float = 0.0
    shift: int = 0
    fresh: bool = True

    @property
    def ends(self) -> float:
        return self.goer.shifts[self.shift][1]

    @property
    def is_out_of_shifts(self) -> bool:
        return self.shift >= len(self.goer.shifts)


class _Run:
    def __init__(self, played: Played, draw: Random) -> None:
        self.played, self.draw = played, draw
        self.open = {code: played.meshes[code] for code in played.fits}
        self.hands = [_Hand(goer, goer.base) for goer in played.case.goers]
        for hand in self.hands:
            self._into_shift(hand)

    def play(self) -> dict[str, float]:
        back: dict[str, float] = {}
        while (found := self._next()) is not None:
            hand, mesh = found
            helper = self._helper(hand) if mesh.people > 1 else None
            since = max(hand.free, helper.free) if helper else hand.free
            legs = self.played.legs(hand.at, mesh, hand.goer)
            likely = sum(leg.likely for leg in legs) + _likely_work(mesh, self.played.fits[mesh.code])
            if since >= hand.ends or (not hand.fresh and since + likely > hand.ends):
                self._go_home(hand)
                continue
            there = since + sum(drawn(leg, self.draw) for leg in legs)
            if helper:
                way = self.played.way(helper.at, _there(mesh))
                there = max(there, since + drawn(way, self.draw))
            done = there + drawn_work(mesh, self.played.fits[mesh.code], self.draw)
            del self.open[mesh.code]
            if done <= self.played.case.horizon:
                back[mesh.code] = done
            for one in (hand, helper) if helper else (hand,):
                one.at, one.free, one.fresh = _there(mesh), done, False
                if done >= one.ends:
                    self._go_home(one)
        return back

    def _next(self) -> tuple[_Hand, OutMesh] | None:
        for hand in sorted(
            (hand for hand in self.hands if not hand.is_out_of_shifts), key=lambda one: one.free
        ):
            mine = [mesh for mesh in self.open.values() if self._may_go(hand, mesh)]
            if mine:
                return hand, min(mine, key=lambda mesh: self._rank(hand, mesh))
        return None

    def _rank(self, hand: _Hand, mesh: OutMesh) -> tuple[bool, float, str]:
        legs = self.played.legs(hand.at, mesh, hand.goer)
        return not mesh.safety, sum(leg.likely for leg in legs), mesh.code

    def _may_go(self, hand: _Hand, mesh: OutMesh) -> bool:
        holder = self.played.spares[self.played.fits[mesh.code].spare].holder
        if holder not in ("", hand.goer.code) or not self._in_reach(hand, mesh):
            return False
        return mesh.people < 2 or self._helper(hand) is not None

    def _in_reach(self, hand: _Hand, mesh: OutMesh) -> bool:
        way = self.played.way(hand.goer.base, _there(mesh))
        return way.likely <= self.played.case.longest_way

    def _helper(self, hand: _Hand) -> _Hand | None:
        others = [one for one in self.hands if one is not hand and not one.is_out_of_shifts]
        return min(others, key=lambda one: one.free, default=None)

    def _go_home(self, hand: _Hand) -> None:
        """Home, a rest where there was work, and on in the next shift that is left after it."""
        if not hand.fresh:
            hand.free += self.played.way(hand.at, hand.goer.base).likely + self.played.case.rest_minutes
        hand.at, hand.fresh = hand.goer.base, True
        hand.shift += 1
        self._into_shift(hand)

    @staticmethod
    def _into_shift(hand: _Hand) -> None:
        while not hand.is_out_of_shifts and hand.ends <= hand.free:
            hand.shift += 1
        if not hand.is_out_of_shifts:
            hand.free = max(hand.free, hand.goer.shifts[hand.shift][0])


def tries_first(mesh: OutMesh, fit: Fit) -> bool:
    """Whether restoring first is expected to take less than joining everything at once (rule C7)."""
    if fit.restore is None:
        return False
    return fit.restore.mean + _share_by_hand(fit) * mesh.joining.mean < mesh.joining.mean


def drawn_work(mesh: OutMesh, fit: Fit, draw: Random) -> float:
    """Minutes at the home, drawn."""
    joining = drawn(mesh.joining, draw)
    if fit.restore is None or not tries_first(mesh, fit):
        return joining
    worked = draw.random() < fit.works
    return drawn(fit.restore, draw) + joining * (fit.left if worked else 1.0)


def _likely_work(mesh: OutMesh, fit: Fit) -> float:
    if fit.restore is None or not tries_first(mesh, fit):
        return mesh.joining.likely
    return fit.restore.likely + _share_by_hand(fit) * mesh.joining.likely


def _share_by_hand(fit: Fit) -> float:
    return (1 - fit.works) + fit.works * fit.left


def _there(mesh: OutMesh) -> Position:
    if mesh.position is None:
        raise ValueError(f"{mesh.code} was given a spare, and nobody knows where it lies.")
    return mesh.position


def play_all(case: Case, draws: Mapping[int, Random]) -> list[dict[str, float]]:
    """The case played once with each of these draws."""
    played = Played.of(case)
    return [played.run(draw) for draw in draws.values()]
