from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from fleet.planning.replacing.settling import Answer, Watched, due_after, settle

SINCE = datetime(2027, 3, 26, 10, tzinfo=UTC)
MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
ROUTERS, POLLING, SLOW = 20, 30, 10


def home(heard_at=lambda device: None):
    """60 devices: routers, sleepers that check in hourly, and slow ones that may be silent for half a day."""
    routers = [Watched(f"r{number}", is_router=True) for number in range(ROUTERS)]
    polling = [Watched(f"p{number}", is_router=False, check_in=3_600) for number in range(POLLING)]
    slow = [Watched(f"s{number}", is_router=False, usual_silence=13 * 3_600) for number in range(SLOW)]
    return [replace(device, heard_at=heard_at(device)) for device in (*routers, *polling, *slow)]


def names(settling, answer):
    return {device.address[0] for device in settling.of(answer)}


@pytest.mark.parametrize(
    ("after", "late", "not_due"),
    [
        (5 * MINUTE, "", "rps"),
        (6 * MINUTE, "r", "ps"),
        (2 * HOUR, "r", "ps"),
        (2 * HOUR + MINUTE, "rp", "s"),
        (26 * HOUR, "rp", "s"),
        (26 * HOUR + MINUTE, "rps", ""),
    ],
    ids=str,
)
def test_silence_means_something_only_once_it_is_longer_than_it_ever_should_be(after, late, not_due):
    settling = settle(home(), SINCE, SINCE + after)

    assert names(settling, Answer.LATE) == set(late)
    assert names(settling, Answer.NOT_YET_DUE) == set(not_due)


def test_what_was_heard_before_the_new_radio_spoke_does_not_count():
    settling = settle([Watched("r", True, heard_at=SINCE - MINUTE)], SINCE, SINCE + HOUR)

    assert settling.of(Answer.LATE)


def test_a_sleeper_of_which_nothing_is_known_has_twice_the_usual_check_in():
    assert due_after(Watched("p", is_router=False)) == 2 * HOUR


def test_it_is_accepted_with_95_in_100_of_those_due_and_the_rest_explained():
    devices = home(lambda device: SINCE + MINUTE)
    devices[:3] = [replace(device, heard_at=None, explained=True) for device in devices[:3]]

    assert settle(devices, SINCE, SINCE + 3 * HOUR).may_be_accepted


def test_it_is_not_accepted_with_fewer():
    devices = home(lambda device: SINCE + MINUTE)
    devices[:4] = [replace(device, heard_at=None, explained=True) for device in devices[:4]]

    assert settle(devices, SINCE, SINCE + 3 * HOUR).against == (
        "56 of 60 that should have answered have; 95% are wanted",
    )


def test_one_late_device_without_an_explanation_stands_against_it():
    devices = home(lambda device: SINCE + MINUTE)
    devices[0] = replace(devices[0], heard_at=None)

    assert settle(devices, SINCE, SINCE + HOUR).against == ("1 device late, and nobody has written why",)


def test_slow_sleepers_that_are_not_due_yet_do_not_stand_against_it():
    devices = home(lambda device: None if device.address.startswith("s") else SINCE + MINUTE)

    assert settle(devices, SINCE, SINCE + 3 * HOUR).may_be_accepted


def test_what_guards_people_must_have_been_tried_by_hand_even_when_it_was_heard():
    lock = Watched("lock", is_router=False, heard_at=SINCE + MINUTE, guards=True)

    assert not settle([lock], SINCE, SINCE + HOUR).may_be_accepted
    assert settle([replace(lock, tried_by_hand=True)], SINCE, SINCE + HOUR).may_be_accepted


def test_nothing_is_accepted_before_anything_could_have_answered():
    assert settle(home(), SINCE, SINCE + MINUTE).against == ("no device is due yet",)


def test_a_mesh_without_devices_has_nothing_against_it():
    assert settle([], SINCE, SINCE).may_be_accepted
