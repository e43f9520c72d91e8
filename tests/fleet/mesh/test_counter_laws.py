"""What must hold for the number to write over any history, not just the ones somebody thought of.

A history is a list of steps. Before each, time passes and every radio that was ever started goes on sending,
at a share of the highest rate that it keeps for that step. Then a snapshot lands (of any radio, stored in
steps as some radios do), a restore or a drill is given a number, or nothing is written down at all.
"""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.mesh.counters import SPACE_END, Evidence, EvidenceKind, Verdict, number_to_write

BEGIN = datetime(2026, 1, 1, tzinfo=UTC)
LONGEST_GAP_SECONDS = 200 * 86_400
STEP_STORED = 65_536
DEEDS = ("snapshot", "unnoticed", "restore", "drill", "late snapshot")


@dataclass(frozen=True, slots=True)
class Step:
    """gap in seconds; share of the highest rate in per mille; which radio a snapshot reads; what happens."""

    gap: int
    share: int
    pick: int
    deed: str


@dataclass(slots=True)
class World:
    """The truth: every radio that speaks for the mesh, and what the ledger knows of it."""

    rate_tenths: int
    radios: list[int]
    ledger: list[Evidence] = field(default_factory=list)
    late: list[Evidence] = field(default_factory=list)
    given_out: list[int] = field(default_factory=list)
    now: datetime = BEGIN

    def pass_time(self, step: Step) -> None:
        self.now += timedelta(seconds=step.gap)
        sent = step.gap * self.rate_tenths * step.share // 10_000
        self.radios = [counter + sent for counter in self.radios]

    def see(self, step: Step) -> Evidence:
        counter = self.radios[step.pick % len(self.radios)]
        return Evidence(min(counter - counter % STEP_STORED, SPACE_END - 1), self.now)

    def ask(self, kind: EvidenceKind) -> bool:
        """Ask for a number, hold the laws against it, use it. False at the end of the space."""
        start = number_to_write(self.ledger, self.now, self.rate_tenths / 10)
        assert start.value > max(self.radios)
        assert not self.given_out or start.value > self.given_out[-1]
        assert (start.verdict is Verdict.REFUSE) == (start.value >= SPACE_END)
        if start.verdict is Verdict.REFUSE:
            return False
        self.given_out.append(start.value)
        self.ledger.append(Evidence(start.value, self.now, kind))
        self.radios.append(start.value)
        return True


def live_through(rate_tenths: int, first_counter: int, steps: Sequence[Step]) -> int:
    """Play a history; how many numbers were asked for in it."""
    world = World(rate_tenths, [first_counter])
    world.ledger.append(world.see(Step(0, 0, 0, "snapshot")))
    asked = 0
    for step in (*steps, Step(3600, 1000, 0, "restore")):
        world.pass_time(step)
        if step.deed == "snapshot":
            world.ledger.append(world.see(step))
        elif step.deed == "late snapshot":
            world.ledger.extend(world.late)
            world.late = [world.see(step)]
        elif step.deed in ("restore", "drill"):
            asked += 1
            if not world.ask(EvidenceKind(step.deed)):
                break
    return asked


STEPS = st.builds(
    Step,
    gap=st.integers(0, LONGEST_GAP_SECONDS) | st.integers(0, 60),
    share=st.sampled_from([0, 1000]) | st.integers(0, 1000),
    pick=st.integers(0, 7),
    deed=st.sampled_from(DEEDS),
)


@settings(max_examples=300, deadline=None)
@given(
    rate_tenths=st.integers(0, 500), first_counter=st.integers(0, 2**31), steps=st.lists(STEPS, max_size=12)
)
def test_a_start_value_is_above_every_value_that_could_have_been_used_and_never_falls(
    rate_tenths: int, first_counter: int, steps: list[Step]
) -> None:
    assert live_through(rate_tenths, first_counter, steps) >= 1


def test_the_same_laws_hold_over_a_hundred_thousand_seeded_histories() -> None:
    chance = random.Random(20270326)

    asked = sum(live_through(*_history(chance.random)) for _ in range(100_000))

    assert asked > 200_000


def _history(draw: Callable[[], float]) -> tuple[int, int, list[Step]]:
    steps = [
        Step(
            gap=int(draw() ** 4 * LONGEST_GAP_SECONDS),
            share=1000 if draw() < 0.5 else int(draw() * 1000),
            pick=int(draw() * 8),
            deed=DEEDS[int(draw() * len(DEEDS))],
        )
        for _ in range(int(draw() * 8))
    ]
    return int(draw() ** 3 * 500), int(draw() * 2**31), steps


@given(
    values=st.lists(st.tuples(st.integers(0, 2**31), st.integers(0, 10**7)), min_size=1, max_size=8),
    wait=st.integers(0, 10**7),
    rate=st.floats(0, 100),
)
def test_waiting_never_lowers_the_number(values: list[tuple[int, int]], wait: int, rate: float) -> None:
    ledger = [Evidence(value, BEGIN - timedelta(seconds=age)) for value, age in values]

    later = number_to_write(ledger, BEGIN + timedelta(seconds=wait), rate)

    assert later.value >= number_to_write(ledger, BEGIN, rate).value


@given(
    values=st.lists(st.tuples(st.integers(0, 2**31), st.integers(0, 10**7)), min_size=2, max_size=8),
    rate=st.floats(0, 100),
)
def test_more_evidence_never_lowers_the_number(values: list[tuple[int, int]], rate: float) -> None:
    ledger = [Evidence(value, BEGIN - timedelta(seconds=age)) for value, age in values]

    assert number_to_write(ledger, BEGIN, rate).value >= number_to_write(ledger[1:], BEGIN, rate).value


@given(
    value=st.integers(0, 2**31),
    age=st.integers(0, 10**7),
    ahead=st.integers(301, 10**9),
    rate=st.integers(0, 100),
    share=st.integers(0, 1000),
)
def test_a_clock_that_runs_ahead_never_makes_the_number_too_low(
    value: int, age: int, ahead: int, rate: int, share: int
) -> None:
    # one sound snapshot at the start, then one stamped ahead of its landing; the radio went on all the time
    begin = Evidence(value, BEGIN)
    taken = BEGIN + timedelta(seconds=age)
    after = value + age * rate
    wrong = Evidence(after, taken + timedelta(seconds=ahead), landed_at=taken)
    rest = age * share // 1000

    start = number_to_write([begin, wrong], taken + timedelta(seconds=rest), float(rate))

    assert start.value > after + rest * rate
