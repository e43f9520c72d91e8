"""A build goes out ring by ring."""

from datetime import UTC, datetime, timedelta

import pytest

from fleet.planning.rings import (
    ENOUGH,
    Candidate,
    RingError,
    RingFacts,
    RingKind,
    RingState,
    UnitFacts,
    drawn,
    needed,
    stand_of,
    suggested_few,
)

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)
BENCH, OWN, FEW, REST = RingKind


def book(plain, guarding=0, bench=1, own=0):
    """Radios at that many homes without and with safety devices, on the bench, and of the firm's own."""
    return [
        *(Candidate(f"B-{n:03}", BENCH) for n in range(bench)),
        *(Candidate(f"O-{n:03}", OWN) for n in range(own)),
        *(Candidate(f"P-{n:03}", FEW) for n in range(plain)),
        *(Candidate(f"S-{n:03}", FEW, guards=True) for n in range(guarding)),
    ]


def ring(kind, done=0, due=0, worse=0, gone=0, passed=False, days_ago=100, soak_days=7):
    at = NOW - timedelta(days=days_ago)
    units = (
        *(UnitFacts(at) for _ in range(done)),
        *(UnitFacts(at, regressed=True) for _ in range(worse)),
        *(UnitFacts() for _ in range(due)),
        *(UnitFacts(gone=True) for _ in range(gone)),
    )
    return RingFacts(kind, soak_days, units, passed)


def test_fifty_nine_units_are_enough_in_a_large_book():
    assert ENOUGH == 59
    assert [needed(units) for units in (118, 400, 5000)] == [59, 59, 59]


def test_a_small_book_asks_for_what_drawing_without_replacement_asks_for():
    assert [needed(units) for units in (1, 8, 19, 20, 50, 100)] == [1, 8, 19, 19, 31, 45]


def test_a_book_without_a_radio_of_that_build_has_no_number():
    with pytest.raises(RingError, match="right is 1 or more"):
        needed(0)


def test_a_ring_passes_at_59_units_and_not_at_58():
    fifty_eight, fifty_nine = (
        stand_of([ring(FEW, done=done), ring(REST, due=300)], 59, NOW).rings[0] for done in (58, 59)
    )

    assert (fifty_eight.state, fifty_eight.may_pass) == (RingState.TOO_FEW, False)
    assert "Draw 1 more into this ring: it takes 59." in fifty_eight.because
    assert (fifty_nine.state, fifty_nine.may_pass) == (RingState.PROVEN, True)
    assert "up to 5.0 % may still fail" in fifty_nine.because


def test_units_count_in_total_over_the_rings():
    rings = [ring(BENCH, done=9, passed=True), ring(FEW, done=50), ring(REST, due=300)]

    assert stand_of(rings, 59, NOW).current.state is RingState.PROVEN


def test_a_unit_that_went_worse_proves_nothing():
    found = stand_of([ring(FEW, done=58, worse=1), ring(REST, due=300)], 59, NOW)

    assert (found.clean, found.rings[0].state) == (58, RingState.TOO_FEW)


def test_after_a_resumed_stop_only_what_was_updated_since_proves_anything():
    """Trade row F3: a ring passes at 59 units and 0 regressions."""
    rest, resumed_at = ring(REST, due=300), NOW - timedelta(days=50)
    before = stand_of([ring(FEW, done=59, worse=1), rest], 59, NOW, resumed_at=resumed_at)
    mixed = RingFacts(FEW, 7, (*ring(FEW, done=40, worse=1).units, *ring(FEW, done=59, days_ago=20).units))
    since = stand_of([mixed, rest], 59, NOW, resumed_at=resumed_at)

    assert (before.clean, before.current.state) == (0, RingState.TOO_FEW)
    assert (since.clean, since.current.state) == (59, RingState.PROVEN)
    assert "59 units went without a regression since it went on" in since.current.because
    assert "1 unit regressed before: what was shown until then no longer counts." in since.current.because


@pytest.mark.parametrize(("days_ago", "state"), [(6.99, RingState.SOAKING), (7, RingState.PROVEN)])
def test_soak_days_run_from_the_last_update(days_ago, state):
    rings = [ring(FEW, done=59, days_ago=days_ago), ring(REST, due=300)]

    assert stand_of(rings, 59, NOW).current.state is state


def test_soak_days_run_anew_from_resuming():
    rings = [ring(FEW, done=59), ring(REST, due=300)]

    found = stand_of(rings, 59, NOW, resumed_at=NOW - timedelta(days=3)).current

    assert found.state is RingState.SOAKING
    assert found.soaked_at == NOW + timedelta(days=4)


def test_nothing_goes_on_while_a_unit_is_due_or_the_passage_is_stopped():
    rings = [ring(FEW, done=59, due=1), ring(REST, due=300)]

    assert stand_of(rings, 59, NOW).current.state is RingState.OPEN
    assert stand_of(rings, 59, NOW, stopped=True).current.state is RingState.STOPPED


def test_a_ring_waits_for_the_one_before_it():
    found = stand_of([ring(BENCH, done=1), ring(FEW, due=2)], 59, NOW)

    assert [each.state for each in found.rings] == [RingState.UNPROVEN, RingState.WAITING]


def test_too_few_on_the_bench_may_go_on_at_a_word_but_not_into_the_rest():
    bench = stand_of([ring(BENCH, done=2), ring(FEW, due=60), ring(REST, due=300)], 59, NOW).current
    homes = stand_of([ring(FEW, done=9), ring(REST, due=300)], 59, NOW).current

    assert (bench.state, bench.may_pass) == (RingState.UNPROVEN, True)
    assert (homes.state, homes.may_pass) == (RingState.TOO_FEW, False)


def test_a_book_too_small_to_prove_anything_before_the_rest_goes_on_at_a_word():
    rings = [ring(BENCH, done=1, passed=True), ring(FEW, done=2), ring(REST, due=5)]

    assert stand_of(rings, needed(8), NOW).current.state is RingState.UNPROVEN


def test_a_unit_that_is_gone_is_waited_for_no_more():
    assert stand_of([ring(FEW, done=59, gone=2)], 59, NOW).current.state is RingState.PROVEN


def test_when_all_have_passed_none_is_open():
    assert stand_of([ring(REST, done=3, passed=True)], 3, NOW).current is None


def test_without_a_unit_everything_may_fail():
    assert stand_of([ring(BENCH, due=1)], 59, NOW).may_fail == 1.0


def test_the_bench_comes_first_and_homes_with_safety_devices_last():
    rings = drawn(book(plain=5, guarding=2, bench=1, own=1), 2, "a lot")

    assert list(rings) == [BENCH, OWN, FEW, REST]
    assert all(code.startswith("P") for code in rings[FEW])
    assert [code[0] for code in rings[REST]] == ["P", "P", "P", "S", "S"]


def test_homes_are_drawn_by_lot_and_the_same_lot_draws_the_same():
    units = book(plain=40)
    few = suggested_few(units)
    one, again, other = (drawn(units, few, lot)[FEW] for lot in ("x", "x", "y"))

    assert one == again
    assert one != other
    assert one != tuple(sorted(one))


def test_enough_homes_to_prove_the_build_come_before_the_rest():
    assert suggested_few(book(plain=400, bench=3)) == 56
    assert suggested_few(book(plain=30, bench=1)) == needed(31) - 1


def test_where_nothing_can_be_proven_a_tenth_of_the_homes_comes_first():
    assert suggested_few(book(plain=8)) == 1
    assert suggested_few(book(plain=0, guarding=3)) == 1
    assert suggested_few(book(plain=0)) == 0


def test_a_home_with_safety_devices_comes_before_the_rest_only_where_no_other_is_left():
    units = book(plain=12, guarding=300)

    few = drawn(units, suggested_few(units), "lot")[FEW]

    assert [code[0] for code in few] == ["P"] * 12 + ["S"] * 46


@pytest.mark.parametrize(
    ("units", "few", "told"),
    [
        pytest.param(book(plain=3, bench=0), 1, "own: nothing on the bench", id="no unit of the firm's own"),
        pytest.param(book(plain=3), 4, "few: 4; right is 1 to 3 homes", id="more homes than there are"),
        pytest.param(book(plain=3), 0, "few: 0; right is 1 to 3 homes", id="no home before the rest"),
        pytest.param(
            book(plain=400),
            10,
            "few: 10; right is 58 to 400 homes .* so that 59 units",
            id="too few to prove it",
        ),
    ],
)
def test_rings_that_cannot_be_drawn_say_why(units, few, told):
    with pytest.raises(RingError, match=told):
        drawn(units, few, "lot")


def test_a_spare_in_a_home_comes_with_the_rest():
    units = [*book(plain=2, guarding=1), Candidate("H-1", REST)]

    rings = drawn(units, 1, "lot")

    assert (rings[REST][1:], len(rings[FEW])) == (("H-1", "S-000"), 1)
