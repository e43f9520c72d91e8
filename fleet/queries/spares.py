"""The radios that might take over, and how each would do at one home."""

from collections import defaultdict
from dataclasses import dataclass, field

from fleet.models import Drill, DrillKind, DrillResult, FirmwarePolicy, Mesh, Node, Radio, RadioState
from fleet.planning.capabilities import MeshNeeds, RadioFacts
from fleet.planning.compatibility import SEVERITY, Compatibility, PairRecord, Verdict, judge
from fleet.planning.drilling.minutes import Recorded
from fleet.planning.estimating import NO_MINUTES, ThreePoints, restore_minutes
from fleet.planning.reach import Position, great_circle_km, travel_minutes
from fleet.planning.readiness import SpareFacts
from fleet.planning.sentences import Sentence
from fleet.queries.blank import is_blank, with_proof
from fleet.queries.drilling.minutes import recorded_minutes
from fleet.queries.facts import needs_of, position_at, position_of, radio_facts

STANDING_BY = (RadioState.SHELVED, RadioState.BOOKED, RadioState.PREPARED, RadioState.WIPED)
# Nobody weighs more spares than this for one home, but one of each build; the nearest come first.
MOST_WEIGHED = 6

Pair = tuple[int | None, int | None]


@dataclass(frozen=True, slots=True)
class Standby:
    """One spare with what judging needs, read once for a whole round."""

    row: Radio
    facts: RadioFacts
    position: Position | None

    @property
    def build(self) -> tuple[int, int | None]:
        """What tells it from spares that would be judged alike but for their place and proof."""
        return self.row.model_id, self.row.firmware_id

    @property
    def is_ready(self) -> bool:
        """Nothing need be done to the radio itself before it takes over."""
        firmware = self.row.firmware
        known_good = firmware is not None and firmware.policy != FirmwarePolicy.BARRED
        return known_good and is_blank(self.row)


@dataclass(frozen=True, slots=True)
class SpareShelf:
    """All spares of the book and the record of every pair of builds."""

    spares: tuple[Standby, ...]
    records: dict[Pair, PairRecord]
    recorded: Recorded = field(default_factory=Recorded)
    """Minutes of a restore, from the firm's own drills where there are enough."""

    @classmethod
    def load(cls) -> "SpareShelf":
        """Four statements, whatever the number of meshes that will be weighed against it."""
        rows = (
            with_proof(Radio.objects.filter(state__in=STANDING_BY, dead_on_arrival_on=None))
            .select_related("model", "firmware", "place__site")
            .prefetch_related("model__limits")
        )
        spares = tuple(Standby(row, radio_facts(row), position_of(row.place)) for row in rows)
        return cls(spares, pair_records(), recorded_minutes())

    def for_mesh(self, mesh: Mesh, radio: Radio | None, nodes: list[Node]) -> tuple[SpareFacts, ...]:
        """The spares worth weighing for this mesh, nearest first.

        Those that lie in the home itself, and of those on shelves and in vans the ones of the family in service or
        of a pair that was tried. A spare in another home is not the firm's to take. Of many, those at hand that could
        be taken as they are come before those that need work first.
        """
        needs = needs_of(mesh, nodes)
        if radio is None or needs is None:
            return ()
        fitting = [spare for spare in self.spares if self._worth_weighing(spare, radio, mesh)]
        far = {place: _kilometres(place, mesh) or 0.0 for place in {spare.position for spare in fitting}}
        fitting.sort(key=lambda spare: (not _lies_in(spare.row, mesh), far[spare.position], spare.row.code))
        weighed = [self._weigh(spare, radio, needs, mesh) for spare in _most_worth(fitting)]
        return tuple(
            sorted(weighed, key=lambda spare: (not spare.at_home, spare.reach_minutes or 0.0, spare.code))
        )

    def record_of(self, radio: Radio, spare: Standby) -> PairRecord:
        """How often going over from the radio in service to the spare was tried, and how often it worked."""
        return self.records.get((radio.firmware_id, spare.row.firmware_id), PairRecord())

    def way(self, spare: Standby, mesh: Mesh) -> ThreePoints | None:
        """Minutes from where the spare lies to the home; None where either is not known."""
        return NO_MINUTES if _lies_in(spare.row, mesh) else _way(spare.position, mesh)

    def _worth_weighing(self, spare: Standby, radio: Radio, mesh: Mesh) -> bool:
        if spare.row.place is not None and spare.row.place.site_id is not None:
            return _lies_in(spare.row, mesh)  # it is that household's, and stays there
        tried = (radio.firmware_id, spare.row.firmware_id) in self.records
        return spare.row.model.family == radio.model.family or tried

    def _weigh(self, spare: Standby, radio: Radio, needs: MeshNeeds, mesh: Mesh) -> SpareFacts:
        fit = judge(radio_facts(radio), spare.facts, needs, record=self.record_of(radio, spare))
        at_home = _lies_in(spare.row, mesh)
        way = self.way(spare, mesh)
        firmware = spare.row.firmware
        verdict, why = _without_bar(fit)
        return SpareFacts(
            code=spare.row.code,
            blank_proven=is_blank(spare.row),
            firmware=firmware.version if firmware else None,
            firmware_barred=firmware.policy == FirmwarePolicy.BARRED if firmware else None,
            verdict=verdict,
            verdict_why=why,
            reach_minutes=way.likely if way else None,
            at_home=at_home,
            restore_minutes=restore_minutes(needs.node_count, way, self.recorded.work) if way else None,
            rejoin_count=fit.rejoin_count if verdict is Verdict.PARTLY else 0,
        )


def _most_worth(fitting: list[Standby]) -> list[Standby]:
    """The first of each build, so that near ones of one build never crowd out a farther one that fits better.

    Then others, up to MOST_WEIGHED in all; those that could be taken as they are come first.
    """
    if len(fitting) <= MOST_WEIGHED:
        return fitting
    ready_first = sorted(fitting, key=lambda spare: not spare.is_ready)
    first = list({spare.build: spare for spare in reversed(ready_first)}.values())[::-1]
    taken = {spare.row.pk for spare in first}
    rest = [spare for spare in ready_first if spare.row.pk not in taken]
    return first + rest[: max(0, MOST_WEIGHED - len(first))]


def _without_bar(fit: Compatibility) -> tuple[Verdict, Sentence]:
    """The verdict as it would be under allowed firmware: barred firmware hinders by itself and is cheaply mended."""
    reasons = [reason for reason in fit.reasons if (reason.rule, reason.verdict) != ("firmware", Verdict.NO)]
    worst = max(reasons, key=lambda reason: SEVERITY.index(reason.verdict))
    return worst.verdict, worst.why


def _lies_in(radio: Radio, mesh: Mesh) -> bool:
    return radio.place is not None and radio.place.site_id == mesh.site_id


def _way(start: Position | None, mesh: Mesh) -> ThreePoints | None:
    far = _kilometres(start, mesh)
    return None if far is None else travel_minutes(far)


def _kilometres(start: Position | None, mesh: Mesh) -> float | None:
    home = position_at(mesh.site)
    return None if start is None or home is None else great_circle_km(start, home)


def pair_records() -> dict[Pair, PairRecord]:
    """Trials and passes from one build to another, from bench and live drills of the whole book.

    A swap that was noted both ways, such as one that was stranded and then joined by hand, is one trial that failed.
    """
    tries: dict[Pair, dict[tuple[int, ...], bool]] = defaultdict(dict)
    drills = (
        Drill.objects.exclude(kind=DrillKind.PAPER).exclude(source_release=None).exclude(target_release=None)
    )
    rows = drills.values_list(
        "source_release", "target_release", "result", "kind", "pk", "mesh", "radio", "snapshot"
    )
    for source, target, result, kind, pk, *swap in rows:
        one = tuple(swap) if kind == DrillKind.LIVE and None not in swap else (pk,)
        tried = tries[source, target]
        tried[one] = tried.get(one, True) and result == DrillResult.PASSED
    return {pair: PairRecord(len(tried), sum(tried.values())) for pair, tried in tries.items()}
