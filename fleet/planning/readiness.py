"""Can this mesh be brought back today: nine gates in a fixed order, never points (trade rule C19).

The first gate that is not passed decides the state, gives the reason and the cheapest act that lifts it. A
gate that cannot be judged makes the mesh unknown, unless an earlier gate has already failed: then the mesh is
at least as bad as that, and the earlier reason is the one to act on. Nothing unknown is ever green. Common
practice, no source.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from fleet.planning.compatibility import Verdict
from fleet.planning.drills import DrillStanding
from fleet.planning.estimating import ThreePoints
from fleet.planning.freshness import Freshness, FreshnessState, spans_told_apart
from fleet.planning.hindrance import Against, Hindrance


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
class Gate:
    """One gate: its result, a sentence why, and the act that lifts it (empty where it is passed)."""

    name: GateName
    result: GateResult
    reason: str
    act: str = ""

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
    verdict_because: str = ""
    reach_minutes: float | None = None
    at_home: bool = False
    restore_minutes: ThreePoints | None = None
    rejoin_count: int | None = None


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
class Readiness:
    """The state, every gate in order, the first not passed with its reason and act, and the spare to take.

    Where all are passed, first_failing is None and act is empty. spare is None where no spare counts.
    """

    state: State
    gates: tuple[Gate, ...]
    first_failing: GateName | None
    reason: str
    act: str
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
        reason = f"{facts.mesh_code} is covered. {in_time.reason}"
        return Readiness(State.COVERED, gates, None, reason, "", code)
    return Readiness(first.state, gates, first.name, first.reason, first.act, code)


def _basics(facts: ReadinessFacts) -> Gate:
    spare_travels = bool(facts.spares) and not any(spare.at_home for spare in facts.spares)
    wanted = {
        "the radio in service": facts.radio is not None,
        "the radio's model": facts.model is not None,
        "the radio's firmware release": facts.firmware is not None,
        "the promised recovery point": facts.promised_point_hours is not None,
        "the promised recovery time": facts.promised_time_hours is not None,
        "the home's position": facts.position_known or not spare_travels,
    }
    missing = _listed([name for name, known in wanted.items() if not known])
    if not missing:
        return Gate(GateName.BASICS, GateResult.PASS, "Radio, firmware and promises are known.")
    reason = f"Not known of {facts.mesh_code}: {missing}."
    return Gate(GateName.BASICS, GateResult.UNKNOWN, reason, f"Enter {missing} for {facts.mesh_code}.")


def _snapshot(facts: ReadinessFacts) -> Gate:
    name, code = GateName.SNAPSHOT, facts.mesh_code
    if facts.freshness is not None:
        return Gate(name, GateResult.PASS, f"There is a sound snapshot of {code}.")
    instead = {
        "not sound": facts.unsound_snapshots,
        "locked out by a newer key": facts.locked_out_snapshots,
        "for another identity": facts.other_identity_snapshots,
    }
    reason = f"There is no snapshot of {code}."
    if found := _listed([f"{count} {what}" for what, count in instead.items() if count]):
        reason = f"No snapshot of {code} can be restored: {found}."
    return Gate(name, GateResult.FAIL, reason, _take_snapshot(code))


def _fresh(facts: ReadinessFacts) -> Gate:
    name, code, freshness = GateName.FRESH, facts.mesh_code, facts.freshness
    if freshness is None:
        return Gate(name, GateResult.UNKNOWN, "There is no sound snapshot to judge.", _take_snapshot(code))
    if freshness.state is FreshnessState.FRESH:
        return Gate(name, GateResult.PASS, freshness.because)
    if freshness.state is FreshnessState.STALE:
        return Gate(name, GateResult.FAIL, freshness.because, _take_snapshot(code))
    act = _take_snapshot(code)
    if freshness.age_hours is not None and freshness.age_hours < 0:
        act = f"Set the clock of the controller at {code}, then take a snapshot and send it in."
    return Gate(name, GateResult.UNKNOWN, freshness.because, act)


def _seen_live(facts: ReadinessFacts) -> Gate:
    name, code = GateName.SEEN_LIVE, facts.mesh_code
    if facts.seen_live:
        return Gate(name, GateResult.PASS, f"A snapshot of {code} was seen to match the live mesh.")
    act = f"Compare the newest snapshot of {code} with the live mesh."
    if facts.seen_live is None:
        reason = f"Whether a snapshot of {code} was ever seen to match the live mesh is not known."
        return Gate(name, GateResult.UNKNOWN, reason, act)
    return Gate(name, GateResult.FAIL, f"No snapshot of {code} was ever seen to match the live mesh.", act)


def _drill(facts: ReadinessFacts) -> Gate:
    name, code = GateName.DRILL, facts.mesh_code
    if facts.drill is None:
        reason = f"No drill interval is agreed for {code}."
        return Gate(name, GateResult.UNKNOWN, reason, f"Enter the drill interval for {code}.")
    if facts.drill.within_interval:
        return Gate(name, GateResult.PASS, facts.drill.because)
    return Gate(name, GateResult.FAIL, facts.drill.because, f"Hold a drill for {code}.")


def hindrances(spare: SpareFacts, facts: ReadinessFacts) -> list[Hindrance]:
    """All that keeps a spare from counting; empty where it counts."""
    code, found = f"spare {spare.code}", []
    if spare.firmware is None:
        text = f"the firmware of {code} is not known"
        found.append(Hindrance(Against.BUILD_UNKNOWN, text, f"Read out the firmware of {code}.", 1))
    elif spare.firmware_barred:
        text = f"firmware {spare.firmware} of {code} is barred"
        found.append(Hindrance(Against.BARRED, text, f"Load an allowed firmware onto {code}.", 4))
    elif spare.firmware_barred is None:
        text = f"whether firmware {spare.firmware} of {code} is barred is not known"
        act = f"Enter the policy on firmware {spare.firmware}."
        found.append(Hindrance(Against.POLICY_UNKNOWN, text, act, 1, certain=False))
    if not spare.blank_proven:
        text = f"{code} is not proven blank"
        found.append(Hindrance(Against.NOT_BLANK, text, f"Prove that {code} is blank.", 2))
    if spare.verdict is Verdict.NO:
        why = f" ({spare.verdict_because.rstrip('.')})" if spare.verdict_because else ""
        act = f"Get another spare for {facts.mesh_code}."
        found.append(Hindrance(Against.NO_FIT, f"{code} cannot take over{why}", act, 100))
    return [*found, *_too_far(spare, facts)]


def _too_far(spare: SpareFacts, facts: ReadinessFacts) -> list[Hindrance]:
    code, promised = f"spare {spare.code}", facts.promised_time_hours
    if spare.at_home:
        return []
    if spare.reach_minutes is None or promised is None:
        text = f"how long {code} takes to {facts.mesh_code} is not known"
        return [Hindrance(Against.WAY_UNKNOWN, text, f"Enter where {code} lies.", 1, certain=False)]
    if spare.reach_minutes <= promised * 60:
        return []
    away, within = spans_told_apart(spare.reach_minutes / 60, promised, is_age=False)
    text = f"{code} is {away} away and the promise is {within}"
    return [Hindrance(Against.TOO_FAR, text, f"Move {code} nearer to {facts.mesh_code}.", 10)]


def _spare(facts: ReadinessFacts, best: SpareFacts | None) -> Gate:
    name, code = GateName.SPARE, facts.mesh_code
    if best is not None:
        return Gate(name, GateResult.PASS, f"Spare {best.code} is blank and in reach.")
    if not facts.spares:
        fitting = f"that fits {facts.model}" if facts.model else "that fits"
        act = f"Get a spare {fitting} for {code}."
        return Gate(name, GateResult.FAIL, f"There is no spare for {code}.", act)
    hindered = [hindrances(spare, facts) for spare in facts.spares]
    hindered.sort(key=lambda found: sum(each.effort for each in found))
    told = [_listed([each.text for each in found]) for found in hindered[:SPARES_TOLD]]
    if len(hindered) > SPARES_TOLD:
        told.append(f"and {len(hindered) - SPARES_TOLD} more")
    act = " ".join(each.act for each in hindered[0])
    if all(any(each.certain for each in found) for found in hindered):
        return Gate(name, GateResult.FAIL, f"No spare counts: {'; '.join(told)}.", act)
    return Gate(name, GateResult.UNKNOWN, f"No spare is sure to count: {'; '.join(told)}.", act)


def _best_spare(facts: ReadinessFacts) -> SpareFacts | None:
    counting = [spare for spare in facts.spares if not hindrances(spare, facts)]
    return min(counting, key=lambda spare: _rank(spare, facts), default=None)


def _rank(spare: SpareFacts, facts: ReadinessFacts) -> tuple[int, float, str]:
    worst = min(gate.state.severity for gate in _gates_of_spare(facts, spare))
    return -worst, 0.0 if spare.at_home else spare.reach_minutes or 0.0, spare.code


def _gates_of_spare(facts: ReadinessFacts, spare: SpareFacts | None) -> tuple[Gate, Gate, Gate]:
    if spare is None:
        reason, act = "There is no spare that counts to judge.", f"Get a spare for {facts.mesh_code}."
        return (
            Gate(GateName.TESTED, GateResult.UNKNOWN, reason, act),
            Gate(GateName.IN_TIME, GateResult.UNKNOWN, reason, act),
            Gate(GateName.NO_HANDWORK, GateResult.UNKNOWN, reason, act),
        )
    return _tested(spare), _in_time(facts, spare), _no_handwork(facts, spare)


def _tested(spare: SpareFacts) -> Gate:
    if spare.verdict is not Verdict.UNTESTED:
        reason = f"The verdict on spare {spare.code} is {spare.verdict}."
        return Gate(GateName.TESTED, GateResult.PASS, reason)
    because = spare.verdict_because.rstrip(".")
    reason = f"Spare {spare.code} is untested for this mesh" + (f": {because}." if because else ".")
    return Gate(GateName.TESTED, GateResult.FAIL, reason, f"Try spare {spare.code} in a drill on the bench.")


def _in_time(facts: ReadinessFacts, spare: SpareFacts) -> Gate:
    name, code, estimate = GateName.IN_TIME, facts.mesh_code, spare.restore_minutes
    if estimate is None or facts.promised_time_hours is None:
        reason = f"How long a restore of {code} takes with spare {spare.code} is not known."
        return Gate(name, GateResult.UNKNOWN, reason, f"Enter the way to {code} and its device count.")
    promised = facts.promised_time_hours * 60
    takes, allowed = _told_apart(estimate.high, promised)
    reason = f"A restore with spare {spare.code} takes up to {takes}; {allowed} are promised."
    if estimate.high <= promised:
        return Gate(name, GateResult.PASS, reason)
    if not spare.at_home and estimate.high - (spare.reach_minutes or 0) <= promised:
        return Gate(name, GateResult.FAIL, reason, f"Keep spare {spare.code} nearer to {code}.")
    days, minutes = math.ceil(estimate.high / _DAY_MINUTES), math.ceil(estimate.high)
    enough = f"{days} days" if days > 2 else f"{minutes} minutes"
    act = f"Agree a recovery time of {enough} or more for {code}."
    return Gate(name, GateResult.FAIL, reason, act)


def _told_apart(minutes: float, promised: float) -> tuple[str, str]:
    """Both in minutes, as restores are planned and promised; in hours and days where one is longer than two days."""
    if max(minutes, promised) <= 2 * _DAY_MINUTES:
        return f"{math.ceil(minutes)} minutes", f"{promised:.0f}"
    return spans_told_apart(minutes / 60, promised / 60, is_age=False)


def _no_handwork(facts: ReadinessFacts, spare: SpareFacts) -> Gate:
    name, count = GateName.NO_HANDWORK, spare.rejoin_count
    some = spare.verdict is Verdict.PARTLY
    if (some and not count) or (spare.verdict is Verdict.UNTESTED and count is None):
        reason = f"How many devices must be joined again with spare {spare.code} is not known."
        act = f"Judge spare {spare.code} against the newest snapshot of {facts.mesh_code}."
        return Gate(name, GateResult.UNKNOWN, reason, act)
    if not count:
        return Gate(name, GateResult.PASS, f"With spare {spare.code} no device must be joined again.")
    devices = "1 device" if count == 1 else f"{count} devices"
    because = spare.verdict_because.rstrip(".")
    reason = f"With spare {spare.code}, {devices} must be joined again by hand" + (
        f": {because}." if because else "."
    )
    return Gate(
        name, GateResult.FAIL, reason, f"Plan that handwork, or get a spare for {facts.mesh_code} without it."
    )


def _take_snapshot(code: str) -> str:
    return f"Take a snapshot at {code} and send it in."


def _listed(parts: list[str]) -> str:
    """The parts as a sentence names them: "a", "a and b", "a, b and c"."""
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)
