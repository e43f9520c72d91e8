"""A supposition changes the facts that the gates look at, and no gate."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.capabilities import FirmwareState
from fleet.planning.drills import DrillFacts, DrillKind, judge_drills
from fleet.planning.freshness import judge_freshness
from fleet.planning.readiness import GateName, State, assess
from fleet.planning.supposing import (
    AddedSpare,
    Stand,
    SupposedPolicy,
    SupposingError,
    Supposition,
    as_data,
    as_supposed,
    from_data,
)
from fleet.planning.supposing_text import read_policy, read_price, read_spare
from tests.fleet.planning.test_outage import PATIENT, SPARES
from tests.fleet.planning.test_readiness import BARRED, COVERED, GOOD

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
TAKEN_AT = NOW - 20 * HOUR
DRILLS = (DrillFacts(DrillKind.BENCH, NOW - 200 * DAY, passed=True),)
# Judged as the book has it: drilled 200 days ago within 365, a copy 20 hours old within 168.
STAND = Stand(
    replace(
        COVERED,
        freshness=judge_freshness(TAKEN_AT, NOW, 168),
        drill=judge_drills(DRILLS, 365, NOW),
    ),
    captured_at=TAKEN_AT,
    drills=DRILLS,
)


def judged(change: Supposition, *spares, stand: Stand = STAND):
    return assess(as_supposed(stand, change, spares or (GOOD,), NOW))


def test_supposing_nothing_gives_the_very_same_facts():
    assert as_supposed(STAND, Supposition(), STAND.facts.spares, NOW) == STAND.facts


@pytest.mark.parametrize(
    ("change", "spares", "state", "gate"),
    [
        (Supposition(drill_days=182), (GOOD,), State.THIN, GateName.DRILL),
        (Supposition(drill_days=200), (GOOD,), State.COVERED, None),
        (Supposition(point_hours=19), (GOOD,), State.THIN, GateName.FRESH),
        (Supposition(point_hours=20), (GOOD,), State.COVERED, None),
        (Supposition(), (BARRED,), State.BARE, GateName.SPARE),
        (Supposition(drill_days=182, point_hours=19), (GOOD,), State.THIN, GateName.FRESH),
        (Supposition(drill_days=182, point_hours=19), (BARRED,), State.BARE, GateName.SPARE),
        (Supposition(drill_days=400, point_hours=400), (GOOD, BARRED), State.COVERED, None),
    ],
)
def test_the_gates_judge_what_is_supposed(change, spares, state, gate):
    found = judged(change, *spares)
    assert (found.state, found.first_failing) == (state, gate)


def test_a_shorter_point_keeps_the_limit_that_the_join_rate_sets():
    """5 joins a month and a chance of 9 in 10: ln(1/0.9) / 5 * 730.5 hours = 15.4 hours."""
    busy = replace(STAND, joins_per_month=5.0)
    facts = as_supposed(busy, Supposition(point_hours=24), (GOOD,), NOW)
    assert facts.freshness.limit_hours == pytest.approx(15.393, abs=1e-3)


def test_no_promise_comes_into_being_by_another_point_or_interval():
    bare = replace(STAND, facts=replace(STAND.facts, promised_point_hours=None, drill=None))
    found = judged(Supposition(drill_days=400, point_hours=400), stand=bare)
    assert (found.state, found.first_failing) == (State.UNKNOWN, GateName.BASICS)


def test_a_copy_that_is_not_there_stays_away():
    none = Stand(replace(STAND.facts, freshness=None))
    assert judged(Supposition(point_hours=8760), stand=none).first_failing is GateName.SNAPSHOT


@PATIENT
@given(st.lists(SPARES, max_size=4), SPARES)
def test_another_spare_never_makes_a_mesh_worse(spares, another):
    """But for a mesh without position, where a spare that must travel asks for one: then it is not known."""
    before = assess(replace(STAND.facts, spares=tuple(spares)))
    after = assess(replace(STAND.facts, spares=(*spares, another)))
    assert after.state.severity >= before.state.severity


def test_whatever_was_asked_is_read_back_the_same():
    change = Supposition(
        added=(
            AddedSpare("C3", "R3.14", 2, "SHELF-1", Decimal("49.50")),
            AddedSpare("A2", "6.9", 1, "VAN-1"),
        ),
        taken=("A2-0201",),
        drill_days=182,
        point_hours=24,
        policies=(SupposedPolicy("C3", "R3.14", FirmwareState.BARRED),),
        wait_days=None,
    )
    assert from_data(as_data(change)) == change


def test_the_price_is_that_of_all_spares_and_none_where_one_was_not_said():
    priced = AddedSpare("C3", "R3.14", 2, "SHELF-1", Decimal("49.50"))
    assert Supposition(added=(priced, priced)).price == Decimal("198.00")
    assert Supposition(added=(priced, replace(priced, price=None))).price is None
    assert Supposition().price is None


@pytest.mark.parametrize(
    ("make", "field", "told"),
    [
        (lambda: AddedSpare("C3", "1", 0, "S"), "spare", "The count of added spares is 0; write 1 to 500."),
        (lambda: AddedSpare("C3", "1", 1, "S", Decimal(-1)), "price", "The price of one C3 is -1"),
        (lambda: AddedSpare("C3", "1", 1, "S", Decimal("NaN")), "price", "The price of one C3 is NaN"),
        (lambda: Supposition(drill_days=0), "drill_days", "The drill interval is 0; write 1 to 1830."),
        (
            lambda: Supposition(point_hours=9999),
            "point_hours",
            "The recovery point is 9999; write 1 to 8760.",
        ),
        (lambda: Supposition(wait_days=0), "wait_days", "The wait for a new radio is 0; write 1 to 730."),
        (
            lambda: Supposition(policies=(SupposedPolicy("C3", "1", FirmwareState.HOLD),) * 2),
            "firmware",
            "C3 1 is given two policies; give it one.",
        ),
        (lambda: read_spare("C3=2@S", {}), "spare", "does not name a model and its firmware"),
        (lambda: read_spare("C3@1=2", {}), "spare", "does not say how many spares are where"),
        (lambda: read_spare("C3@1=two@S", {}), "spare", "“two” in “C3@1=two@S” is no count of spares"),
        (
            lambda: read_policy("C3@1=bad"),
            "firmware",
            "“bad” is no policy; write one of seen, trial, allowed",
        ),
        (lambda: read_policy("barred"), "firmware", "does not name a model and its firmware"),
        (lambda: read_price("C3=dear"), "price", "“C3=dear” is no price; write MODEL=PRICE"),
    ],
)
def test_what_cannot_be_supposed_is_named_with_what_would_be_right(make, field, told):
    with pytest.raises(SupposingError) as refused:
        make()
    assert refused.value.field == field
    assert told in str(refused.value)


def test_what_is_typed_in_one_line_is_read():
    priced = {"C3": Decimal("49.50")}
    assert read_spare("C3@R3.14=2@SHELF-1", priced) == AddedSpare(
        "C3", "R3.14", 2, "SHELF-1", Decimal("49.50")
    )
    assert read_policy("A2@6.9=Hold") == SupposedPolicy("A2", "6.9", FirmwareState.HOLD)
    assert read_price("C3=49.50") == ("C3", Decimal("49.50"))
