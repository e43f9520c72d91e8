"""The numbers of drills and those of the live mesh, in any order of drills, grants and passing time.

The live radios go on at any rate up to the known one; each number that they used is remembered with the moment by
which it was used. A drill's spare counts up within its range for as long as the range is held.
"""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.mesh.counter_ledger import deciding
from fleet.mesh.counters import HALF_WAY, MARGIN, CounterError, Evidence, EvidenceKind, number_to_write
from fleet.mesh.drill_range import HELD_FOR, DrillRange, drill_range

BEGIN = datetime(2027, 1, 1, tzinfo=UTC)
DAY = timedelta(days=1)
STEP_STORED = 65_536


def test_the_range_by_hand():
    """C1 over twelve hours more: 1,463,120 + 2 * 3/s * (30 d + 12 h) + 65,536; as wide as 12 h and the margin."""
    seen = Evidence(1_463_120, BEGIN)

    found = drill_range([seen], BEGIN + 30 * DAY, 3)

    assert found.first == 1_463_120 + 6 * (30 * 86_400 + 43_200) + 65_536 == 17_339_856
    assert found.last == 17_339_856 + 6 * 43_200 + 65_536
    assert found.until == BEGIN + 30 * DAY + HELD_FOR


def test_an_unknown_rate_is_taken_for_fifty_a_second():
    found = drill_range([Evidence(0, BEGIN)], BEGIN, None)
    assert found.last - found.first == 2 * 50 * 43_200 + MARGIN


def test_a_key_that_is_half_used_is_not_rehearsed_with():
    with pytest.raises(CounterError, match="below 2,147,483,648; change the network key first"):
        drill_range([Evidence(HALF_WAY - 100_000, BEGIN)], BEGIN, 0.1)


def test_what_is_given_out_after_a_drill_lies_above_its_range():
    seen = Evidence(1_000_000, BEGIN)
    drill = drill_range([seen], BEGIN, 3)
    noted = Evidence(drill.last, BEGIN, EvidenceKind.DRILL)

    assert number_to_write([seen, noted], BEGIN, 3).value > drill.last
    assert drill_range([seen, noted], BEGIN, 3).first > drill.last


@dataclass(frozen=True, slots=True)
class Deed:
    gap: int
    share: int
    what: str


@dataclass(slots=True)
class World:
    """radios: where each live one stands. drills: their ranges. given: the numbers of restores."""

    rate_tenths: int
    radios: list[int]
    now: datetime = BEGIN
    ledger: list[Evidence] = field(default_factory=list)
    drills: list[DrillRange] = field(default_factory=list)
    given: list[int] = field(default_factory=list)

    @property
    def rate(self) -> float:
        return self.rate_tenths / 10

    def note(self, value: int, kind: EvidenceKind) -> None:
        self.ledger.append(Evidence(value, self.now, kind, self.now))

    def wait(self, seconds: int, share: int) -> None:
        """Time passes in one go: to the end of each range first, so that none is passed over."""
        end = self.now + timedelta(seconds=seconds)
        for until in sorted(drill.until for drill in self.drills if self.now < drill.until < end):
            self._send(int((until - self.now).total_seconds()), share)
            self.look()
        self._send(int((end - self.now).total_seconds()), share)
        self.look()

    def _send(self, seconds: int, share: int) -> None:
        self.now += timedelta(seconds=seconds)
        sent = seconds * self.rate_tenths * share // 10_000
        self.radios = [counter + sent for counter in self.radios]

    def look(self) -> None:
        """No live radio that spoke before a drill has come to its range while that is held; later ones began above."""
        for drill in self.drills:
            if self.now <= drill.until:
                assert all(counter < drill.first or counter > drill.last for counter in self.radios)

    def see(self) -> None:
        counter = self.radios[-1]
        self.note(counter - counter % STEP_STORED, EvidenceKind.SNAPSHOT)

    def restore(self) -> None:
        number = number_to_write(deciding(self.ledger), self.now, self.rate).value
        assert all(number > drill.last for drill in self.drills)
        assert number > max(self.radios)
        self.note(number, EvidenceKind.RESTORE)
        self.given.append(number)
        self.radios.append(number)

    def drill(self) -> None:
        found = drill_range(deciding(self.ledger), self.now, self.rate)
        assert found.first > max([*self.radios, *self.given])
        assert all(found.first > earlier.last for earlier in self.drills)
        # The spare may count as fast as the live mesh at its fastest, and store its counter in steps once.
        assert found.first + HELD_FOR.total_seconds() * self.rate + STEP_STORED <= found.last
        self.note(found.last, EvidenceKind.DRILL)
        self.drills.append(found)


DEEDS = st.builds(
    Deed,
    gap=st.integers(0, 60) | st.integers(0, 2 * 43_200) | st.integers(0, 30 * 86_400),
    share=st.sampled_from([0, 1000]) | st.integers(0, 1000),
    what=st.sampled_from(["see", "restore", "drill", "drill"]),
)


@settings(max_examples=300, deadline=None)
@given(rate_tenths=st.integers(1, 100), first=st.integers(0, 2**24), deeds=st.lists(DEEDS, max_size=12))
def test_no_order_of_drills_and_grants_lets_their_numbers_touch(rate_tenths, first, deeds):
    world = World(rate_tenths, [first])
    world.see()
    for deed in [*deeds, Deed(3600, 1000, "drill"), Deed(43_200, 1000, "restore")]:
        world.wait(deed.gap, deed.share)
        getattr(world, deed.what)()
        world.look()
    assert world.drills
    assert world.given
