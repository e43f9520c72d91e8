"""What is told at once, and what the morning's list holds."""

from datetime import date, timedelta

import pytest

from fleet.planning.messages.standing import Trouble
from fleet.planning.messages.telling import Told, is_urgent, list_is_due, morning_list, rest_of_list, urgent
from fleet.planning.readiness import State
from tests.fleet.planning.messages.standings import NOW, OSLO, UTC_ZONE, bare, stale, standing

HOUR = timedelta(hours=1)
WELL, BARE = 4, 1


def told(trouble: Trouble, hours_ago: float, mildest: int) -> dict[str, Told]:
    return {"HOME-1-A": Told(trouble, NOW - HOUR * hours_ago, mildest)}


@pytest.mark.parametrize(
    ("mesh", "at_once"),
    [
        pytest.param(bare(safety=True), True, id="bare, with locks or alarms"),
        pytest.param(standing(stranded=True, safety=True), True, id="stranded, with locks or alarms"),
        pytest.param(bare(), False, id="bare, nothing that safety hangs on"),
        pytest.param(stale(safety=True), False, id="stale, with locks or alarms"),
        pytest.param(standing(safety=True, state=State.UNKNOWN), False, id="unknown, with locks or alarms"),
        pytest.param(standing(safety=True), False, id="covered"),
    ],
)
def test_only_what_safety_hangs_on_and_cannot_be_brought_back_is_urgent(mesh, at_once):
    assert is_urgent(mesh) is at_once


def test_it_is_told_in_the_middle_of_the_night():
    night = NOW.replace(hour=1)

    assert len(urgent([bare(safety=True)], {}, night)) == 1


@pytest.mark.parametrize(
    ("before", "news"),
    [
        pytest.param(told(Trouble.BARE, 2, BARE), False, id="told two hours ago and no better since"),
        pytest.param(told(Trouble.BARE, 2, WELL), False, id="well and bare again within a day"),
        pytest.param(told(Trouble.BARE, 200, BARE), False, id="bare for a week: the list shows it"),
        pytest.param(told(Trouble.BARE, 24, WELL), True, id="well and bare again, a day later"),
    ],
)
def test_a_bare_home_is_told_again_only_after_a_day_in_which_it_was_better(before, news):
    assert bool(urgent([bare(safety=True)], before, NOW)) is news


def test_what_became_worse_is_told_within_the_day():
    assert urgent([standing(stranded=True, safety=True)], told(Trouble.BARE, 1, BARE), NOW)


def test_what_became_less_bad_is_not_told_again():
    assert not urgent([bare(safety=True)], told(Trouble.STRANDED, 1, 0), NOW)


@pytest.mark.parametrize(
    ("hour", "last_on", "due"),
    [
        pytest.param(6, None, False, id="before eight"),
        pytest.param(7, None, True, id="at eight"),
        pytest.param(12, date(2027, 3, 25), True, id="late, and none today"),
        pytest.param(12, date(2027, 3, 26), False, id="had today's"),
        pytest.param(20, None, False, id="too late in the evening"),
    ],
)
def test_there_is_one_list_a_day_from_eight_by_the_readers_clock(hour, last_on, due):
    assert list_is_due(NOW.replace(hour=hour), OSLO, last_on) is due


def test_a_home_where_it_is_night_is_counted_now_and_told_later():
    asleep = stale(1, zone="Pacific/Chatham")

    found = morning_list([asleep, stale(2)], UTC_ZONE, NOW)

    assert found.homes == {Trouble.THIN: 2}
    assert [each.code for group in found.groups for each in group.members] == ["HOME-2-A"]
    assert found.later.codes == ("HOME-1-A",)


def test_safety_does_not_wait_for_daylight():
    found = morning_list([bare(1, zone="Pacific/Chatham", safety=True)], UTC_ZONE, NOW)

    assert len(found.groups) == 1
    assert found.later is None


def test_a_home_counts_by_its_worst_mesh():
    meshes = [bare(1), stale(1, code="HOME-1-B"), standing(2)]

    assert morning_list(meshes, UTC_ZONE, NOW).homes == {Trouble.BARE: 1, None: 1}


def test_what_became_well_by_daylight_is_not_told():
    evening = NOW.replace(hour=19)

    groups = rest_of_list(
        [standing(1, "Pacific/Chatham"), stale(2, zone="Pacific/Chatham")], ["HOME-1-A"], evening
    )

    assert groups == ()
