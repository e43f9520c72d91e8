"""Mark, wait, erase: the two steps by which copies go."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from fleet.planning.keeping import Copy, KeepRule, keep
from fleet.planning.marking import Marks, marks

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)
RULE = KeepRule(days=1, weeks=0, months=0, years=0)
NEW, OLD = Copy("new", NOW), Copy("old", NOW - timedelta(days=1))


def marks_now(copies=(NEW, OLD), kept=("new",), marked_at=None, now=NOW, complete=True) -> Marks[str]:
    return marks(copies, kept, marked_at or {}, now, RULE, last_round_complete=complete)


def test_a_copy_that_nothing_holds_is_marked():
    assert marks_now() == Marks(mark=("old",), unmark=(), erase=())


def test_a_marked_copy_that_something_holds_again_loses_its_mark():
    found = marks_now(kept=("new", "old"), marked_at={"old": NOW - timedelta(days=6)})
    assert found == Marks(mark=(), unmark=("old",), erase=())


@pytest.mark.parametrize("days", [0, 1, 6, 6.999])
def test_a_marked_copy_waits_out_its_grace(days):
    assert marks_now(marked_at={"old": NOW - timedelta(days=days)}) == Marks((), (), ())


@pytest.mark.parametrize("days", [7, 8, 400])
def test_a_copy_goes_when_its_grace_is_over(days):
    assert marks_now(marked_at={"old": NOW - timedelta(days=days)}).erase == ("old",)


def test_a_kept_copy_is_not_erased_however_old_its_mark():
    found = marks_now(kept=("new", "old"), marked_at={"old": NOW - timedelta(days=400)})
    assert found.erase == ()


def test_nothing_is_erased_after_an_incomplete_round():
    found = marks_now(marked_at={"old": NOW - timedelta(days=400)}, complete=False)
    assert found == Marks((), (), ())


def test_marking_goes_on_after_an_incomplete_round():
    assert marks_now(complete=False).mark == ("old",)


def test_a_mark_from_the_future_erases_nothing():
    assert marks_now(marked_at={"old": NOW + timedelta(days=400)}).erase == ()


def test_no_sound_copy_is_erased_where_no_kept_one_is_sound():
    broken = Copy("new", NOW, sound=False)
    found = marks_now(copies=(broken, OLD), marked_at={"old": NOW - timedelta(days=8)})
    assert found.erase == ()


def test_an_unsound_copy_goes_even_where_no_kept_one_is_sound():
    copies = (Copy("new", NOW, sound=False), Copy("old", OLD.taken_at, sound=False))
    assert marks_now(copies=copies, marked_at={"old": NOW - timedelta(days=8)}).erase == ("old",)


def test_a_home_offline_for_seven_months_loses_nothing_more_on_the_second_run():
    zone, rule = ZoneInfo("Europe/Oslo"), KeepRule()
    copies = [Copy(n, NOW - timedelta(days=210 + n)) for n in range(300)]
    marked: dict[int, datetime] = {}
    for night in range(30):
        now = NOW + timedelta(days=night)
        kept = keep(copies, rule, zone)
        found = marks(copies, kept, marked, now, rule, last_round_complete=True)
        marked.update(dict.fromkeys(found.mark, now))
        copies = [copy for copy in copies if copy.key not in found.erase]
    assert [copy.key for copy in copies] == list(kept)
    assert copies[0].key == 0
