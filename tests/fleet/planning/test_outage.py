"""Hours of outage to expect, against cases worked by hand."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fleet.planning.compatibility import Verdict
from fleet.planning.estimating import ThreePoints
from fleet.planning.outage import Helper, NotCounted, Outage, Work, a_year, chance_there, outage_of
from fleet.planning.readiness import SpareFacts
from tests.fleet.planning.test_readiness import AT_HOME, BARRED, COVERED, FAR, GOOD, NOT_BLANK, PARTLY

# Joining by hand: (60 + 4 * 120 + 240) / 6 = 130 minutes. Restoring with GOOD: (50 + 4 * 99 + 180) / 6 = 104.33.
JOINING = ThreePoints(60, 120, 240)
WORK = Work(JOINING, devices=20)
WAITING = replace(WORK, wait_days=14)
RESTORE = (50 + 4 * 99 + 180) / 6
WAIT = 14 * 24 * 60


def outage(*helpers: Helper, work: Work | None = WORK, **changes) -> Outage | NotCounted:
    return outage_of(replace(COVERED, **changes), helpers, work)


def minutes(*helpers: Helper, work: Work | None = WORK, **changes) -> float:
    found = outage(*helpers, work=work, **changes)
    assert isinstance(found, Outage)
    return found.minutes


def test_a_proven_pair_is_back_after_a_restore():
    assert minutes(Helper(GOOD, 1.0)) == pytest.approx(RESTORE)


def test_what_is_not_proven_is_joined_by_hand_on_top():
    assert minutes(Helper(GOOD, 0.8)) == pytest.approx(RESTORE + 0.2 * 130)


def test_a_pair_that_nobody_tried_is_joined_by_hand_at_once():
    """Restoring first would take 104.33 + 130; the way and joining take 30 + 130."""
    assert outage(Helper(GOOD, 0.0)) == Outage(160, 130)


def test_without_a_copy_all_is_joined_by_hand():
    assert minutes(Helper(GOOD, 1.0), freshness=None) == 160


def test_a_spare_in_the_home_has_no_way():
    assert minutes(Helper(AT_HOME, 0.0)) == 130


def test_devices_that_the_verdict_leaves_are_joined_by_hand():
    four = replace(PARTLY, rejoin_count=4)
    assert minutes(Helper(four, 1.0)) == pytest.approx(RESTORE + 4 / 20 * 130)


def test_a_verdict_that_leaves_too_many_is_no_better_than_joining_all():
    """12 of 20 devices: 104.33 + 78 against the way and joining, 30 + 130."""
    assert minutes(Helper(PARTLY, 1.0)) == 160


def test_devices_that_joined_since_the_copy_are_joined_again():
    assert minutes(Helper(GOOD, 1.0), work=replace(WORK, lost=2.0)) == pytest.approx(RESTORE + 2 / 20 * 130)


def test_no_more_devices_than_there_are_can_be_lost():
    lost = minutes(Helper(GOOD, 1.0), work=replace(WORK, lost=500.0))
    assert lost == pytest.approx(min(RESTORE + 130, 160))


def test_without_a_spare_a_new_one_is_waited_for():
    assert outage(work=WAITING) == Outage(WAIT + 130, 130)


def test_a_wait_that_nobody_knows_is_not_counted():
    assert outage() is NotCounted.NO_WAIT


def test_unknown_devices_are_not_counted():
    assert outage(Helper(GOOD, 1.0), work=None) is NotCounted.NO_DEVICES


@pytest.mark.parametrize("spare", [NOT_BLANK, BARRED], ids=["not blank", "barred"])
def test_a_spare_that_may_not_be_taken_helps_nobody(spare):
    assert minutes(Helper(spare, 1.0), work=WAITING) == WAIT + 130


def test_a_spare_that_is_only_too_far_for_the_promise_still_ends_an_outage():
    far = Helper(replace(FAR, restore_minutes=ThreePoints.exactly(400)), 1.0)
    assert minutes(far, work=WAITING) == 400


def test_a_shared_spare_that_may_be_gone_counts_with_its_chance():
    shared = Helper(GOOD, 1.0, there=0.75)
    assert minutes(shared, work=WAITING) == pytest.approx(0.75 * RESTORE + 0.25 * (WAIT + 130))


def test_of_several_spares_the_quickest_counts():
    assert minutes(Helper(GOOD, 0.0), Helper(AT_HOME, 1.0)) == pytest.approx(RESTORE)


def test_a_year_is_so_many_failures():
    yearly = a_year(Outage(90, 60), 0.02)
    assert (yearly.hours, yearly.joining_minutes) == (pytest.approx(0.03), pytest.approx(1.2))


@pytest.mark.parametrize(
    ("spares", "chance"),
    [(0, 0.0), (1, 0.2514), (2, 0.5985), (4, 0.9484), (5, 0.9865)],
    ids=["none", "one", "two", "four", "five"],
)
def test_the_chance_that_a_shared_spare_is_left(spares, chance):
    """400 radios at 0.03 a year and 42 days: a mean demand of 1.3808 (trade rule C13), exp(-1.3808) = 0.2514."""
    assert chance_there(spares, 400, 0.03, 42) == pytest.approx(chance, abs=5e-5)


def test_a_shelf_is_never_empty_where_the_wait_is_not_known():
    assert chance_there(1, 400, 0.03, None) == 1.0


# Spares have many parts, and a machine that is busy takes its time to draw them.
PATIENT = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
SPARES = st.builds(
    SpareFacts,
    code=st.integers(1, 99).map("S-{}".format),
    blank_proven=st.sampled_from([True, False, None]),
    firmware=st.sampled_from(["6.10", None]),
    firmware_barred=st.sampled_from([True, False, None]),
    verdict=st.sampled_from(list(Verdict)),
    reach_minutes=st.none() | st.floats(0, 4000),
    at_home=st.booleans(),
    restore_minutes=st.none() | st.floats(10, 5000).map(ThreePoints.exactly),
    rejoin_count=st.none() | st.integers(0, 40),
)
HELPERS = st.builds(Helper, SPARES, st.floats(0, 1), st.floats(0, 1))


@PATIENT
@given(st.lists(HELPERS, max_size=4), HELPERS, st.none() | st.integers(1, 60), st.booleans())
def test_another_spare_never_makes_an_outage_longer(helpers, another, wait_days, has_copy):
    work = replace(WORK, wait_days=wait_days)
    changes = {} if has_copy else {"freshness": None}
    before = outage(*helpers, work=work, **changes)
    after = outage(*helpers, another, work=work, **changes)
    if isinstance(before, Outage):
        assert isinstance(after, Outage)
        assert after.minutes <= before.minutes


@PATIENT
@given(HELPERS, st.integers(1, 60))
def test_no_outage_is_ever_nothing(helper, wait_days):
    assert minutes(helper, work=replace(WORK, wait_days=wait_days)) > 0
