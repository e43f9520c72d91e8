"""The radios that might take over, and how each would do at one home."""

from collections import defaultdict
from dataclasses import dataclass

from fleet.models import Drill, DrillKind, DrillResult, FirmwarePolicy, Mesh, Node, Radio, RadioState
from fleet.planning.capabilities import MeshNeeds, RadioFacts
from fleet.planning.compatibility import SEVERITY, Compatibility, PairRecord, Verdict, judge
from fleet.planning.estimating import NO_MINUTES, ThreePoints, restore_minutes
from fleet.planning.reach import Position, great_circle_km, travel_minutes
from fleet.planning.readiness import SpareFacts
from fleet.queries.facts import needs_of, position_of, radio_facts

STANDING_BY = (RadioState.SHELVED, RadioState.BOOKED, RadioState.PREPARED, RadioState.WIPED)
# Nobody weighs more spares than this for one home; the nearest come first.
MOST_WEIGHED = 6

Pair = tuple[int | None, int | None]


@dataclass(frozen=True, slots=True)
class Standby:
    """One spare with what judging needs, read once for a whole round."""

    row: Radio
    facts: RadioFacts
    position: Position | None


@dataclass(frozen=True, slots=True)
class SpareShelf:
    """All spares of the book and the record of every pair of builds."""

    spares: tuple[Standby, ...]
    records: dict[Pair, PairRecord]

    @classmethod
    def load(cls) -> "SpareShelf":
        """Three statements, whatever the number of meshes that will be weighed against it."""
        rows = (
            Radio.objects.filter(state__in=STANDING_BY)
            .select_related("model", "firmware", "place__site")
            .prefetch_related("model__limits")
        )
        spares = tuple(Standby(row, radio_facts(row), position_of(row.place)) for row in rows)
        return cls(spares, pair_records())

    def for_mesh(self, mesh: Mesh, radio: Radio | None, nodes: list[Node]) -> tuple[SpareFacts, ...]:
        """The spares worth weighing for this mesh, nearest first.

        Those that lie in the home itself, and of those on shelves and in vans the ones of the family in service or
        of a pair that was tried. A spare in another home is not the firm's to take.
        """
        needs = needs_of(mesh, nodes)
        if radio is None or needs is None:
            return ()
        fitting = [spare for spare in self.spares if self._worth_weighing(spare, radio, mesh)]
        weighed = [self._weigh(spare, radio, needs, mesh) for spare in fitting]
        weighed.sort(key=lambda spare: (not spare.at_home, spare.reach_minutes or 0.0, spare.code))
        return tuple(weighed[:MOST_WEIGHED])

    def _worth_weighing(self, spare: Standby, radio: Radio, mesh: Mesh) -> bool:
        if spare.row.place is not None and spare.row.place.site_id is not None:
            return _lies_in(spare.row, mesh)  # it is that household's, and stays there
        tried = (radio.firmware_id, spare.row.firmware_id) in self.records
        return spare.row.model.family == radio.model.family or tried

    def _weigh(self, spare: Standby, radio: Radio, needs: MeshNeeds, mesh: Mesh) -> SpareFacts:
        record = self.records.get((radio.firmware_id, spare.row.firmware_id), PairRecord())
        fit = judge(radio_facts(radio), spare.facts, needs, record=record)
        at_home = _lies_in(spare.row, mesh)
        way = NO_MINUTES if at_home else _way(spare.position, mesh)
        firmware = spare.row.firmware
        verdict, because = _without_bar(fit)
        return SpareFacts(
            code=spare.row.code,
            blank_proven=spare.row.blank_proven_at is not None,
            firmware=firmware.version if firmware else None,
            firmware_barred=firmware.policy == FirmwarePolicy.BARRED if firmware else None,
            verdict=verdict,
            verdict_because=because,
            reach_minutes=way.likely if way else None,
            at_home=at_home,
            restore_minutes=restore_minutes(needs.node_count, way) if way else None,
            rejoin_count=fit.rejoin_count if verdict is Verdict.PARTLY else 0,
        )


def _without_bar(fit: Compatibility) -> tuple[Verdict, str]:
    """The verdict as it would be under allowed firmware: barred firmware hinders by itself and is cheaply mended."""
    reasons = [reason for reason in fit.reasons if (reason.rule, reason.verdict) != ("firmware", Verdict.NO)]
    worst = max(reasons, key=lambda reason: SEVERITY.index(reason.verdict))
    return worst.verdict, worst.text


def _lies_in(radio: Radio, mesh: Mesh) -> bool:
    return radio.place is not None and radio.place.site_id == mesh.site_id


def _way(start: Position | None, mesh: Mesh) -> ThreePoints | None:
    site = mesh.site
    if start is None or site.latitude is None or site.longitude is None:
        return None
    home = Position(float(site.latitude), float(site.longitude))
    return travel_minutes(great_circle_km(start, home))


def pair_records() -> dict[Pair, PairRecord]:
    """Trials and passes from one build to another, from bench and live drills of the whole book."""
    tries: dict[Pair, list[bool]] = defaultdict(list)
    drills = (
        Drill.objects.exclude(kind=DrillKind.PAPER).exclude(source_release=None).exclude(target_release=None)
    )
    for source, target, result in drills.values_list("source_release", "target_release", "result"):
        tries[source, target].append(result == DrillResult.PASSED)
    return {pair: PairRecord(len(passed), sum(passed)) for pair, passed in tries.items()}
