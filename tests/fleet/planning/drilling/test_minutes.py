import pytest

from fleet.planning.drilling.minutes import ENOUGH, MinutesError, recorded_work, three_points
from fleet.planning.drilling.steps import MEASURES, ORDER, WORDS, Step, following
from fleet.planning.drills import DrillKind
from fleet.planning.estimating import RestoreWork, ThreePoints, restore_minutes

FIVE = (6.0, 4.0, 9.0, 5.0, 7.0)


def test_three_points_are_percentiles_by_nearest_rank():
    """NIST/SEMATECH e-Handbook 7.2.6.2 names the ranks: of 1 to 20 the 2nd, the 10th and the 18th."""
    assert three_points(range(1, 21)) == ThreePoints(2, 10, 18)
    assert three_points(FIVE) == ThreePoints(4, 6, 9)
    assert three_points([3]) == ThreePoints.exactly(3)


@pytest.mark.parametrize("minutes", [[], [1, -1], [float("nan")], [float("inf")]], ids=str)
def test_minutes_that_cannot_be_are_refused(minutes):
    with pytest.raises(MinutesError):
        three_points(minutes)


def test_too_few_drills_leave_what_is_usual():
    found = recorded_work({Step.WRITE: FIVE[: ENOUGH - 1]})
    assert (found.work, dict(found.drills)) == (RestoreWork(), {})


def test_enough_drills_take_the_place_of_what_is_usual_part_by_part():
    found = recorded_work({Step.WRITE: FIVE, Step.FIND: FIVE[:2]})

    assert found.work.write == ThreePoints(4, 6, 9)
    assert found.work.diagnose == RestoreWork().diagnose
    assert dict(found.drills) == {"write": 5}
    assert restore_minutes(48, work=found.work).likely == restore_minutes(48).likely + 1


def test_steps_that_measure_no_part_of_a_restore_change_nothing():
    assert recorded_work({Step.COMPARE: FIVE, Step.WALK: FIVE}).work == RestoreWork()


def test_every_part_that_is_measured_is_a_part_of_a_restore():
    assert set(MEASURES.values()) <= set(RestoreWork.__dataclass_fields__)


@pytest.mark.parametrize("kind", list(DrillKind))
def test_steps_follow_each_other_to_their_end(kind):
    gone, step = [], following(kind, None)
    while step is not None:
        gone.append(step)
        step = following(kind, step)
    assert tuple(gone) == ORDER[kind]
    assert all(WORDS[step].do for step in gone)
