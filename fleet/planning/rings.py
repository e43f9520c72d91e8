"""A build goes out ring by ring: who is in which ring, and when a ring has passed (trade rules C16, C17, row F3).

First the bench, then the firm's own, then a few homes, then the rest; in homes, those with safety devices come last. A
ring passes when each of its units is done, its soak days are over, and enough units in total have gone without a
regression to leave less than 5 % of them failing, with 95 % confidence: 59. In a small book that is more than half of
it; there as many as drawing without replacement asks for. Any regression stops the passage. Soak days and sizes of
rings are common practice, no source.
"""

import hashlib
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import count

from fleet.planning.drills import drills_to_rule_out, failing_share_upper

SHARE = 0.05
ENOUGH = next(units for units in count(1) if failing_share_upper(units) <= SHARE)
"""59."""
SMALL_BOOK = 2 * ENOUGH
SOAK_DAYS_MOST = 365


class RingError(ValueError):
    """Rings that cannot be drawn; the sentence names the field, the value and what would be right."""


class RingKind(StrEnum):
    """The four rings, in their order."""

    BENCH = "bench"
    OWN = "own"
    FEW = "few"
    REST = "rest"

    @property
    def words(self) -> str:
        """As people read it."""
        return {
            "bench": "on the bench",
            "own": "the firm's own",
            "few": "a few homes",
            "rest": "all the rest",
        }[self.value]


ORDER = tuple(RingKind)
IN_HOMES = (RingKind.FEW, RingKind.REST)
SOAK_DAYS = {RingKind.BENCH: 7, RingKind.OWN: 14, RingKind.FEW: 28, RingKind.REST: 14}


class RingState(StrEnum):
    """How a ring stands."""

    WAITING = "waiting"
    OPEN = "open"
    SOAKING = "soaking"
    TOO_FEW = "too few"
    UNPROVEN = "not proven"
    PROVEN = "proven"
    PASSED = "passed"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A radio on the build that is to be left. guards: its home holds safety devices.

    at: BENCH, OWN, FEW for any home, REST for what comes with the rest at the earliest.
    """

    code: str
    at: RingKind
    guards: bool = False


@dataclass(frozen=True, slots=True)
class UnitFacts:
    """One radio of a ring. gone: it is out of use, or has another build by now, and needs no update any more."""

    done_at: datetime | None = None
    regressed: bool = False
    gone: bool = False

    @property
    def is_clean(self) -> bool:
        """Updated, and nothing went worse."""
        return self.done_at is not None and not self.regressed

    @property
    def is_due(self) -> bool:
        """Still to be updated."""
        return self.done_at is None and not self.gone


@dataclass(frozen=True, slots=True)
class RingFacts:
    """One ring with its units; the rings of a passage come in their order."""

    kind: RingKind
    soak_days: int
    units: tuple[UnitFacts, ...]
    passed: bool = False


@dataclass(frozen=True, slots=True)
class RingStand:
    """How one ring stands, its counts, when its soak days are over, and one sentence."""

    kind: RingKind
    state: RingState
    size: int
    done: int
    clean: int
    due: int
    soaked_at: datetime | None
    because: str

    @property
    def may_pass(self) -> bool:
        """True where it passes, with a person's word if it is not proven."""
        return self.state in (RingState.PROVEN, RingState.UNPROVEN)


@dataclass(frozen=True, slots=True)
class Stand:
    """All rings; clean: units without a regression, since it went on after a stop; need of them are wanted."""

    rings: tuple[RingStand, ...]
    clean: int
    need: int

    @property
    def current(self) -> RingStand | None:
        """The ring that is not passed yet; None where all are."""
        return next((ring for ring in self.rings if ring.state is not RingState.PASSED), None)

    @property
    def may_fail(self) -> float:
        """The share of units that may fail at most, with 95 % confidence, after those that were clean."""
        return failing_share_upper(self.clean)


def needed(units: int) -> int:
    """How many of so many units must be updated without a regression before a ring passes.

    59; where that is more than half of them, as many as rule out 5 % of bad ones among just these.
    """
    if units < 1:
        raise RingError("units: no radio has this build; right is 1 or more.")
    return ENOUGH if units >= SMALL_BOOK else drills_to_rule_out(units, SHARE)


def suggested_few(candidates: Sequence[Candidate]) -> int:
    """How many homes the third ring should have: as many as prove the build before the rest, if so many there are.

    Else a tenth of the homes, one at least; 0 where there is none.
    """
    _, homes, _ = _sorted(candidates, "")
    if not homes:
        return 0
    return _least(candidates) or math.ceil(len(homes) / 10)


def drawn(candidates: Sequence[Candidate], few: int, lot: str) -> dict[RingKind, tuple[str, ...]]:
    """Which radio is in which ring, by code and in their turn; rings without a radio are left out.

    few: homes in the third ring; one with safety devices only where no other is left. lot: any text; homes are drawn
    by a digest of it and their code, so that nobody picks the easy ones. Raises RingError.
    """
    firm, homes, later = _sorted(candidates, lot)
    if not firm:
        raise RingError(
            "own: nothing on the bench and none of the firm's own has this build; put it on one of them first."
        )
    lowest = max(_least(candidates), 1) if homes else 0
    if not lowest <= few <= len(homes):
        proof = (
            f", so that {needed(len(candidates))} units have gone well before the rest" if lowest > 1 else ""
        )
        raise RingError(f"few: {few}; right is {lowest} to {len(homes)} homes that have this build{proof}.")
    left = sorted([*homes[few:], *later], key=lambda each: each.guards)
    rings = {
        RingKind.BENCH: [each for each in firm if each.at is RingKind.BENCH],
        RingKind.OWN: [each for each in firm if each.at is RingKind.OWN],
        RingKind.FEW: homes[:few],
        RingKind.REST: left,
    }
    return {kind: tuple(each.code for each in found) for kind, found in rings.items() if found}


def _least(candidates: Sequence[Candidate]) -> int:
    """How many homes must come before the rest to prove the build; 0 where so few radios can prove nothing."""
    firm, homes, _ = _sorted(candidates, "")
    least = needed(len(candidates)) - len(firm)
    return max(least, 0) if least <= len(homes) and len(firm) + least < len(candidates) else 0


def stand_of(
    rings: Sequence[RingFacts],
    need: int,
    now: datetime,
    stopped: bool = False,
    resumed_at: datetime | None = None,
) -> Stand:
    """How each ring stands as of now. need: from needed(). Soak days count from the last update, or from resuming.

    A regression ends the proof so far: after a stop only units that were updated since it went on count (F3).
    """
    clean = sum(
        unit.is_clean and (resumed_at is None or (unit.done_at is not None and unit.done_at >= resumed_at))
        for ring in rings
        for unit in ring.units
    )
    regressed = sum(unit.regressed for ring in rings for unit in ring.units)
    found: list[RingStand] = []
    for place, ring in enumerate(rings):
        open_now = all(before.passed for before in rings[:place])
        later = sum(unit.is_due for after in rings[place + 1 :] for unit in after.units)
        opens_rest = place + 1 < len(rings) and rings[place + 1].kind is RingKind.REST
        spare = later if opens_rest else 0
        found.append(_stand(ring, _State(open_now, stopped, clean, regressed, need, spare, resumed_at, now)))
    return Stand(tuple(found), clean, need)


@dataclass(frozen=True, slots=True)
class _State:
    """What a ring's standing hangs on beside the ring. spare: units of the rest that could be drawn before."""

    open_now: bool
    stopped: bool
    clean: int
    regressed: int
    need: int
    spare: int
    resumed_at: datetime | None
    now: datetime


def _stand(ring: RingFacts, given: _State) -> RingStand:
    done = [unit for unit in ring.units if unit.done_at is not None]
    due = sum(unit.is_due for unit in ring.units)
    since = max((unit.done_at for unit in done if unit.done_at is not None), default=None)
    if since is not None and given.resumed_at is not None:
        since = max(since, given.resumed_at)
    soaked_at = None if since is None or due else since + timedelta(days=ring.soak_days)
    state, because = _judged(ring, due, soaked_at, given)
    return RingStand(
        kind=ring.kind,
        state=state,
        size=len(ring.units),
        done=len(done),
        clean=sum(unit.is_clean for unit in ring.units),
        due=due,
        soaked_at=soaked_at,
        because=because,
    )


def _judged(ring: RingFacts, due: int, soaked_at: datetime | None, given: _State) -> tuple[RingState, str]:
    if ring.passed:
        return RingState.PASSED, "It has passed."
    if not given.open_now:
        return RingState.WAITING, "It waits for the ring before it."
    if given.stopped:
        return RingState.STOPPED, "Nothing is updated until somebody says why it may go on."
    if due:
        return RingState.OPEN, f"{_units(due)} to be updated."
    if soaked_at is not None and given.now < soaked_at:
        return RingState.SOAKING, f"All are done; it soaks until {soaked_at:%Y-%m-%d %H:%M} UTC."
    shown = failing_share_upper(given.clean) * 100
    since = "" if given.resumed_at is None else " since it went on"
    so_far = f"{_units(given.clean)} went without a regression{since}: up to {shown:.1f} % may still fail."
    if given.regressed:
        so_far += f" {_units(given.regressed)} regressed before: what was shown until then no longer counts."
    if given.clean >= given.need:
        return RingState.PROVEN, f"{so_far} {given.need} are enough here."
    if given.clean + given.spare > given.need:
        missing = given.need - given.clean
        return RingState.TOO_FEW, f"{so_far} Draw {missing} more into this ring: it takes {given.need}."
    return RingState.UNPROVEN, f"{so_far} It takes {given.need} to prove more; a person may let it go on."


def _units(number: int) -> str:
    return "1 unit" if number == 1 else f"{number} units"


def _sorted(
    candidates: Iterable[Candidate], lot: str
) -> tuple[list[Candidate], list[Candidate], list[Candidate]]:
    """What is the firm's own; homes by lot, those with safety devices after all others; what comes with the rest."""
    rows = sorted(candidates, key=lambda each: each.code)
    homes = [each for each in rows if each.at is RingKind.FEW]
    homes.sort(key=lambda each: (each.guards, hashlib.sha256(f"{lot} {each.code}".encode()).digest()))
    firm = [each for each in rows if each.at not in IN_HOMES]
    return firm, homes, [each for each in rows if each.at is RingKind.REST]
