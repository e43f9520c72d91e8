"""Can this mesh be brought back today: nine gates in a fixed order, never points (trade rule C19).

The first gate that is not passed decides the state, gives the reason and the cheapest act that lifts it. A
gate that cannot be judged makes the mesh unknown, unless an earlier gate has already failed: then the mesh is
at least as bad as that, and the earlier reason is the one to act on. Nothing unknown is ever green. Common
practice, no source.
"""

import math
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from fleet.planning.compatibility import Verdict
from fleet.planning.drills import DrillStanding
from fleet.planning.estimating import ThreePoints
from fleet.planning.freshness import Freshness, FreshnessState, told_apart
from fleet.planning.hindrance import Against, Hindrance
from fleet.planning.phrases.fit import thing
from fleet.planning.phrases.ready import Act, Basic, Ready
from fleet.planning.phrases.ready import Against as Hinders
from fleet.planning.sentences import Manner, Reasoned, Sentence, Series, Span, Told, Unit, sentences


class State(StrEnum):
    """What the board says of a mesh."""

    UNKNOWN = "unknown"
    BARE = "bare"
    THIN = "thin"
    COVERED_WITH_HANDWORK = "covered_with_handwork"
    COVERED = "covered"

    @property
    def words(self) -> str:
        """As people read it."""
        return self.value.replace("_", " ")

    @property
    def severity(self) -> int:
        """0 is the worst: sort by it for a list that begins with the worst."""
        return WORST_FIRST.index(self)


WORST_FIRST = (State.BARE, State.UNKNOWN, State.THIN, State.COVERED_WITH_HANDWORK, State.COVERED)

_DAY_MINUTES = 1440
SPARES_TOLD = 3


class GateName(StrEnum):
    """The gates, in their order."""

    BASICS = "basics"
    SNAPSHOT = "snapshot"
    SPARE = "spare"
    FRESH = "fresh"
    SEEN_LIVE = "seen_live"
    DRILL = "drill"
    TESTED = "tested"
    IN_TIME = "in_time"
    NO_HANDWORK = "no_handwork"


STATE_OF_FAILED = {
    GateName.SNAPSHOT: State.BARE,
    GateName.SPARE: State.BARE,
    GateName.FRESH: State.THIN,
    GateName.SEEN_LIVE: State.THIN,
    GateName.DRILL: State.THIN,
    GateName.TESTED: State.THIN,
    GateName.IN_TIME: State.THIN,
    GateName.NO_HANDWORK: State.COVERED_WITH_HANDWORK,
}


class GateResult(StrEnum):
    """Passed, failed, or not to be judged."""

    PASS = "pass"
    FAIL = "fail"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Gate(Reasoned):
    """One gate: its result, why, and what lifts it (None where it is passed)."""

    name: GateName
    result: GateResult
    why: Told
    helps: Told | None = None

    @property
    def state(self) -> State:
        """What this gate alone would make of the mesh."""
        if self.result is GateResult.PASS:
            return State.COVERED
        return State.UNKNOWN if self.result is GateResult.UNKNOWN else STATE_OF_FAILED[self.name]


@dataclass(frozen=True, slots=True)
class SpareFacts:
    """One radio that might take over. None means not known.

    blank_proven is True only by name and date. reach_minutes is the likely way from where it lies to the
    home; at_home means that it lies there. restore_minutes is the whole estimate with this spare, travel
    included. rejoin_count is how many devices must be joined again by hand.
    """

    code: str
    blank_proven: bool | None
    firmware: str | None
    firmware_barred: bool | None
    verdict: Verdict = Verdict.UNTESTED
    verdict_why: Sentence | None = None
    reach_minutes: float | None = None
    at_home: bool = False
    restore_minutes: ThreePoints | None = None
    rejoin_count: int | None = None

    @property
    def verdict_because(self) -> str:
        """What made the verdict, in English; empty where nothing is to be said."""
        return self.verdict_why.text if self.verdict_why else ""


@dataclass(frozen=True, slots=True)
class ReadinessFacts:
    """All that the gates look at, of one mesh. None means not known.

    freshness is that of the newest sound snapshot of this identity that is not locked out; None where there
    is none, and the three counts then say what there is instead. drill is None where no interval is agreed.
    """

    mesh_code: str
    radio: str | None
    model: str | None
    firmware: str | None
    promised_point_hours: float | None
    promised_time_hours: float | None
    position_known: bool
    freshness: Freshness | None
    seen_live: bool | None
    drill: DrillStanding | None
    spares: tuple[SpareFacts, ...] = ()
    unsound_snapshots: int = 0
    locked_out_snapshots: int = 0
    other_identity_snapshots: int = 0


@dataclass(frozen=True, slots=True)
class Readiness(Reasoned):
    """The state, every gate in order, the first not passed with why and what helps, and the spare to take.

    Where all are passed, first_failing and helps are None. spare is None where no spare counts.
    """

    state: State
    gates: tuple[Gate, ...]
    first_failing: GateName | None
    why: Told
    helps: Told | None
    spare: str | None


def assess(facts: ReadinessFacts) -> Readiness:
    """Put one mesh through the gates.

    Of several spares that count, the one that leaves the best state is taken, and of these the nearest.
    """
    spare = _best_spare(facts)
    tested, in_time, no_handwork = _gates_of_spare(facts, spare)
    gates = (
        _basics(facts),
        _snapshot(facts),
        _spare(facts, spare),
        _fresh(facts),
        _seen_live(facts),
        _drill(facts),
        tested,
        in_time,
        no_handwork,
    )
    code = spare.code if spare else None
    first = next((gate for gate in gates if gate.result is not GateResult.PASS), None)
    if first is None:
        why = sentences(Ready.COVERED.of(mesh=facts.mesh_code), in_time.why)
        return Readiness(State.COVERED, gates, None, why, None, code)
    return Readiness(first.state, gates, first.name, first.why, first.helps, code)


def _basics(facts: ReadinessFacts) -> Gate:
    spare_travels = bool(facts.spares) and not any(spare.at_home for spare in facts.spares)
    wanted = {
        Basic.RADIO: facts.radio is not None,
        Basic.MODEL: facts.model is not None,
        Basic.FIRMWARE: facts.firmware is not None,
        Basic.POINT: facts.promised_point_hours is not None,
        Basic.TIME: facts.promised_time_hours is not None,
        Basic.POSITION: facts.position_known or not spare_travels,
    }
    missing = Series(tuple(basic.of() for basic, known in wanted.items() if not known))
    if not missing.parts:
        return Gate(GateName.BASICS, GateResult.PASS, Ready.BASICS_KNOWN.of())
    why = Ready.BASICS_MISSING.of(mesh=facts.mesh_code, what=missing)
    helps = Act.ENTER.of(what=missing, mesh=facts.mesh_code)
    return Gate(GateName.BASICS, GateResult.UNKNOWN, why, helps)


def _snapshot(facts: ReadinessFacts) -> Gate:
    name, code = GateName.SNAPSHOT, facts.mesh_code
    if facts.freshness is not None:
        return Gate(name, GateResult.PASS, Ready.COPY_SOUND.of(mesh=code))
    instead = {
        Ready.COPY_UNSOUND: facts.unsound_snapshots,
        Ready.COPY_LOCKED_OUT: facts.locked_out_snapshots,
        Ready.COPY_OTHER: facts.other_identity_snapshots,
    }
    found = Series(tuple(what.of(count=count) for what, count in instead.items() if count))
    why = Ready.COPY_UNFIT.of(mesh=code, what=found) if found.parts else Ready.COPY_NONE.of(mesh=code)
    return Gate(name, GateResult.FAIL, why, Act.TAKE_COPY.of(mesh=code))


def _fresh(facts: ReadinessFacts) -> Gate:
    name, freshness = GateName.FRESH, facts.freshness
    act = Act.TAKE_COPY.of(mesh=facts.mesh_code)
    if freshness is None:
        return Gate(name, GateResult.UNKNOWN, Ready.COPY_NO_SOUND.of(), act)
    if freshness.state is FreshnessState.FRESH:
        return Gate(name, GateResult.PASS, freshness.why)
    if freshness.state is FreshnessState.STALE:
        return Gate(name, GateResult.FAIL, freshness.why, act)
    if freshness.age_hours is not None and freshness.age_hours < 0:
        act = Act.SET_CLOCK.of(mesh=facts.mesh_code)
    return Gate(name, GateResult.UNKNOWN, freshness.why, act)


def _seen_live(facts: ReadinessFacts) -> Gate:
    name, code = GateName.SEEN_LIVE, facts.mesh_code
    if facts.seen_live:
        return Gate(name, GateResult.PASS, Ready.SEEN_LIVE.of(mesh=code))
    act = Act.COMPARE.of(mesh=code)
    if facts.seen_live is None:
        return Gate(name, GateResult.UNKNOWN, Ready.SEEN_LIVE_UNKNOWN.of(mesh=code), act)
    return Gate(name, GateResult.FAIL, Ready.SEEN_LIVE_NEVER.of(mesh=code), act)


def _drill(facts: ReadinessFacts) -> Gate:
    name, code = GateName.DRILL, facts.mesh_code
    if facts.drill is None:
        why, act = Ready.DRILL_NO_INTERVAL.of(mesh=code), Act.ENTER_INTERVAL.of(mesh=code)
        return Gate(name, GateResult.UNKNOWN, why, act)
    if facts.drill.within_interval:
        return Gate(name, GateResult.PASS, facts.drill.why)
    return Gate(name, GateResult.FAIL, facts.drill.why, Act.HOLD_DRILL.of(mesh=code))


def hindrances(spare: SpareFacts, facts: ReadinessFacts) -> list[Hindrance]:
    """All that keeps a spare from counting; empty where it counts."""
    code, found = spare.code, []
    if spare.firmware is None:
        why, act = Hinders.BUILD_UNKNOWN.of(spare=code), Act.READ_OUT.of(spare=code)
        found.append(Hindrance(Against.BUILD_UNKNOWN, why, act, 1))
    elif spare.firmware_barred:
        why, act = Hinders.BARRED.of(firmware=spare.firmware, spare=code), Act.LOAD_FIRMWARE.of(spare=code)
        found.append(Hindrance(Against.BARRED, why, act, 4))
    elif spare.firmware_barred is None:
        why = Hinders.POLICY_UNKNOWN.of(firmware=spare.firmware, spare=code)
        act = Act.ENTER_POLICY.of(firmware=spare.firmware)
        found.append(Hindrance(Against.POLICY_UNKNOWN, why, act, 1, certain=False))
    if not spare.blank_proven:
        why, act = Hinders.NOT_BLANK.of(spare=code), Act.PROVE_BLANK.of(spare=code)
        found.append(Hindrance(Against.NOT_BLANK, why, act, 2))
    if spare.verdict is Verdict.NO:
        why = Hinders.NO_FIT.of(spare=code)
        if spare.verdict_why:
            why = Hinders.NO_FIT_BECAUSE.of(spare=code, why=spare.verdict_why)
        found.append(Hindrance(Against.NO_FIT, why, Act.ANOTHER_SPARE.of(mesh=facts.mesh_code), 100))
    return [*found, *_too_far(spare, facts)]


def _too_far(spare: SpareFacts, facts: ReadinessFacts) -> list[Hindrance]:
    code, mesh, promised = spare.code, facts.mesh_code, facts.promised_time_hours
    if spare.at_home:
        return []
    if spare.reach_minutes is None or promised is None:
        why, act = Hinders.WAY_UNKNOWN.of(spare=code, mesh=mesh), Act.ENTER_PLACE.of(spare=code)
        return [Hindrance(Against.WAY_UNKNOWN, why, act, 1, certain=False)]
    if spare.reach_minutes <= promised * 60:
        return []
    away, within = told_apart(spare.reach_minutes / 60, promised, is_age=False)
    why = Hinders.TOO_FAR.of(spare=code, away=away, promised=within)
    return [Hindrance(Against.TOO_FAR, why, Act.MOVE_SPARE.of(spare=code, mesh=mesh), 10)]


def _spare(facts: ReadinessFacts, best: SpareFacts | None) -> Gate:
    name, code = GateName.SPARE, facts.mesh_code
    if best is not None:
        return Gate(name, GateResult.PASS, Ready.SPARE.of(spare=best.code))
    if not facts.spares:
        fitting = Act.GET_SPARE_FITTING.of(mesh=code)
        act = Act.GET_SPARE_FOR_MODEL.of(model=facts.model, mesh=code) if facts.model else fitting
        return Gate(name, GateResult.FAIL, Ready.SPARE_NONE.of(mesh=code), act)
    hindered = [hindrances(spare, facts) for spare in facts.spares]
    hindered.sort(key=lambda found: sum(each.effort for each in found))
    told = [Series(tuple(each.why for each in found)) for found in hindered[:SPARES_TOLD]]
    more = len(hindered) - SPARES_TOLD
    rest = (Hinders.MORE.of(count=more),) if more > 0 else ()
    why = Series((*told, *rest), Manner.SEMICOLONS)
    act_of_first = sentences(*(each.act for each in hindered[0]))
    if all(any(each.certain for each in found) for found in hindered):
        return Gate(name, GateResult.FAIL, Ready.SPARE_COUNTS_NOT.of(why=why), act_of_first)
    return Gate(name, GateResult.UNKNOWN, Ready.SPARE_NOT_SURE.of(why=why), act_of_first)


def _best_spare(facts: ReadinessFacts) -> SpareFacts | None:
    counting = [spare for spare in facts.spares if not hindrances(spare, facts)]
    return min(counting, key=lambda spare: _rank(spare, facts), default=None)


def _rank(spare: SpareFacts, facts: ReadinessFacts) -> tuple[int, float, str]:
    worst = min(gate.state.severity for gate in _gates_of_spare(facts, spare))
    return -worst, 0.0 if spare.at_home else spare.reach_minutes or 0.0, spare.code


def _gates_of_spare(facts: ReadinessFacts, spare: SpareFacts | None) -> tuple[Gate, Gate, Gate]:
    if spare is None:
        why, act = Ready.SPARE_NO_JUDGING.of(), Act.GET_SPARE.of(mesh=facts.mesh_code)
        return (
            Gate(GateName.TESTED, GateResult.UNKNOWN, why, act),
            Gate(GateName.IN_TIME, GateResult.UNKNOWN, why, act),
            Gate(GateName.NO_HANDWORK, GateResult.UNKNOWN, why, act),
        )
    return _tested(spare), _in_time(facts, spare), _no_handwork(facts, spare)


def _tested(spare: SpareFacts) -> Gate:
    name, code = GateName.TESTED, spare.code
    if spare.verdict is not Verdict.UNTESTED:
        return Gate(name, GateResult.PASS, Ready.VERDICT.of(spare=code, verdict=thing(spare.verdict)))
    why = Ready.UNTESTED.of(spare=code)
    if spare.verdict_why:
        why = Ready.UNTESTED_BECAUSE.of(spare=code, why=spare.verdict_why)
    return Gate(name, GateResult.FAIL, why, Act.TRY_SPARE.of(spare=code))


def _in_time(facts: ReadinessFacts, spare: SpareFacts) -> Gate:
    name, code, estimate = GateName.IN_TIME, facts.mesh_code, spare.restore_minutes
    if estimate is None or facts.promised_time_hours is None:
        why = Ready.TIME_UNKNOWN.of(mesh=code, spare=spare.code)
        return Gate(name, GateResult.UNKNOWN, why, Act.ENTER_WAY.of(mesh=code))
    promised = facts.promised_time_hours * 60
    takes, allowed = _told_apart(estimate.high, promised)
    why = Ready.TIME.of(spare=spare.code, takes=takes, promised=allowed)
    if estimate.high <= promised:
        return Gate(name, GateResult.PASS, why)
    if not spare.at_home and estimate.high - (spare.reach_minutes or 0) <= promised:
        return Gate(name, GateResult.FAIL, why, Act.KEEP_NEARER.of(spare=spare.code, mesh=code))
    days, minutes = math.ceil(estimate.high / _DAY_MINUTES), math.ceil(estimate.high)
    enough = Span(Decimal(days), Unit.DAY) if days > 2 else Span(Decimal(minutes), Unit.MINUTE)
    return Gate(name, GateResult.FAIL, why, Act.AGREE_TIME.of(time=enough, mesh=code))


def _told_apart(minutes: float, promised: float) -> tuple[Span, Span | int]:
    """Both in minutes, as restores are planned and promised; in hours and days where one is longer than two days."""
    if max(minutes, promised) <= 2 * _DAY_MINUTES:
        return Span(Decimal(math.ceil(minutes)), Unit.MINUTE), round(promised)
    return told_apart(minutes / 60, promised / 60, is_age=False)


def _no_handwork(facts: ReadinessFacts, spare: SpareFacts) -> Gate:
    name, count, code = GateName.NO_HANDWORK, spare.rejoin_count, spare.code
    some = spare.verdict is Verdict.PARTLY
    if (some and not count) or (spare.verdict is Verdict.UNTESTED and count is None):
        why = Ready.HANDWORK_UNKNOWN.of(spare=code)
        return Gate(name, GateResult.UNKNOWN, why, Act.JUDGE_SPARE.of(spare=code, mesh=facts.mesh_code))
    if not count:
        return Gate(name, GateResult.PASS, Ready.HANDWORK_NONE.of(spare=code))
    why = Ready.HANDWORK.of(spare=code, n=count)
    if spare.verdict_why:
        why = Ready.HANDWORK_BECAUSE.of(spare=code, n=count, why=spare.verdict_why)
    return Gate(name, GateResult.FAIL, why, Act.PLAN_HANDWORK.of(mesh=facts.mesh_code))
