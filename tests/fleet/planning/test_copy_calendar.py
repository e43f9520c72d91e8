"""Copies by the days of a home, and the gaps between them."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.copy_calendar import (
    CopyCalendar,
    DatedCopy,
    Day,
    DayMark,
    Gap,
    calendar_of,
    first_shown,
)

OSLO = ZoneInfo("Europe/Oslo")
CHATHAM = ZoneInfo("Pacific/Chatham")
TODAY = date(2027, 3, 26)
DAY = timedelta(days=1)


def noon(day: date, zone: ZoneInfo = OSLO) -> datetime:
    return datetime(day.year, day.month, day.day, 12, tzinfo=zone)


def copy_on(
    day: date, mark: DayMark = DayMark.STALE, key: str = "", sound: bool | None = None
) -> DatedCopy[str]:
    is_sound = mark not in (DayMark.HELD, DayMark.GONE) if sound is None else sound
    return DatedCopy(key or day.isoformat(), noon(day), mark, is_sound)


def copies_on(*days: date) -> list[DatedCopy[str]]:
    return [copy_on(day) for day in days]


def days_of(found: CopyCalendar[str]) -> dict[date, Day[str]]:
    return {day.day: day for month in found.months for week in month.weeks for day in week if day}


def test_thirteen_months_are_shown_newest_first():
    found = calendar_of(copies_on(TODAY), OSLO, TODAY, sound_before=date(2020, 1, 1))
    firsts = [month.first for month in found.months]
    assert (len(firsts), firsts[0], firsts[-1]) == (13, date(2027, 3, 1), date(2026, 3, 1))


def test_a_leap_day_is_shown():
    found = calendar_of([], OSLO, date(2028, 3, 1), sound_before=date(2020, 1, 1))
    assert date(2028, 2, 29) in days_of(found)


def test_the_calendar_begins_with_the_first_copy_of_a_young_mesh():
    found = calendar_of(copies_on(date(2027, 2, 10), TODAY), OSLO, TODAY)
    assert min(days_of(found)) == date(2027, 2, 10)
    assert found.tally[DayMark.NONE] == (TODAY - date(2027, 2, 10)).days - 1


def test_weeks_begin_on_monday():
    found = calendar_of(copies_on(date(2027, 3, 1)), OSLO, TODAY)
    assert all(
        day.day.weekday() == place for week in found.months[0].weeks for place, day in enumerate(week) if day
    )


def test_days_to_come_are_left_open():
    assert max(days_of(calendar_of(copies_on(TODAY), OSLO, TODAY))) == TODAY


@pytest.mark.parametrize(
    ("marks", "best"),
    [
        ((DayMark.HELD, DayMark.SOUND), DayMark.SOUND),
        ((DayMark.SOUND, DayMark.HELD), DayMark.SOUND),
        ((DayMark.GONE, DayMark.HELD), DayMark.HELD),
        ((DayMark.GONE, DayMark.LOCKED_OUT, DayMark.STALE), DayMark.STALE),
        ((), DayMark.NONE),
    ],
)
def test_a_day_is_marked_by_its_best_copy(marks: tuple[DayMark, ...], best: DayMark):
    day = TODAY - DAY
    found = calendar_of([copy_on(TODAY - 9 * DAY), *(copy_on(day, mark) for mark in marks)], OSLO, TODAY)
    assert days_of(found)[day].mark is best


def test_a_day_leads_to_its_newest_copy_whatever_its_mark():
    early = DatedCopy("early", noon(TODAY) - timedelta(hours=3), DayMark.SOUND, True)
    late = DatedCopy("late", noon(TODAY), DayMark.HELD, False)
    day = days_of(calendar_of([late, early], OSLO, TODAY))[TODAY]
    assert (day.newest, day.copies, day.mark) == ("late", 2, DayMark.SOUND)


def test_the_longest_gap_stands_first():
    days = [date(2027, 1, 1), date(2027, 2, 2), date(2027, 3, 18), TODAY]
    found = calendar_of(copies_on(*days), OSLO, TODAY)
    assert found.gaps[0] == Gap(date(2027, 2, 3), date(2027, 3, 17))
    assert [gap.days for gap in found.gaps] == [43, 31, 7]


def test_of_equal_gaps_the_later_stands_first():
    found = calendar_of(
        copies_on(date(2027, 3, 1), date(2027, 3, 8), date(2027, 3, 15)), OSLO, date(2027, 3, 15)
    )
    assert [gap.first.day for gap in found.gaps] == [9, 2]


def test_a_day_that_was_missed_is_no_gap():
    assert calendar_of(copies_on(TODAY - 2 * DAY, TODAY), OSLO, TODAY).gaps == ()


def test_yesterdays_copy_leaves_no_gap():
    found = calendar_of(copies_on(TODAY - DAY), OSLO, TODAY)
    assert (found.gaps, found.days_since) == ((), 1)


def test_a_gap_that_lasts_until_today_is_open():
    found = calendar_of(copies_on(TODAY - 71 * DAY), OSLO, TODAY)
    assert found.gaps[0].is_open
    assert found.gaps[0].days == found.days_since == 71


def test_a_held_copy_closes_no_gap():
    found = calendar_of([copy_on(TODAY - 9 * DAY), copy_on(TODAY - DAY, DayMark.HELD)], OSLO, TODAY)
    assert found.gaps == (Gap(TODAY - 8 * DAY, TODAY, is_open=True),)


def test_a_sound_copy_that_was_erased_since_closes_a_gap():
    erased = copy_on(TODAY - DAY, DayMark.GONE, sound=True)
    assert calendar_of([copy_on(TODAY - 2 * DAY), erased], OSLO, TODAY).gaps == ()


def test_a_gap_may_begin_before_the_calendar():
    last = date(2026, 1, 10)
    found = calendar_of(copies_on(TODAY), OSLO, TODAY, sound_before=last)
    assert found.gaps[0].first == date(2026, 1, 11)
    assert (found.first_sound, found.last_sound) == (last, TODAY)


def test_copies_of_long_ago_only_leave_an_empty_calendar_that_says_so():
    found = calendar_of([], OSLO, TODAY, sound_before=date(2025, 3, 26))
    assert (len(found.months), found.days_since) == (13, 730)


def test_without_any_copy_there_is_no_calendar():
    found = calendar_of([], OSLO, TODAY)
    assert (found.months, found.gaps, found.last_sound, found.days_since) == ((), (), None, None)


def test_only_held_copies_are_no_gap_but_no_sound_copy_either():
    found = calendar_of([copy_on(TODAY - 30 * DAY, DayMark.HELD)], OSLO, TODAY)
    assert (found.gaps, found.last_sound, found.tally[DayMark.HELD]) == ((), None, 1)


def test_copies_dated_after_today_are_counted_apart():
    found = calendar_of(copies_on(TODAY, TODAY + DAY, TODAY + 400 * DAY), OSLO, TODAY)
    assert (found.ahead, found.last_sound) == (2, TODAY)


@pytest.mark.parametrize(
    ("zone", "moment", "day"),
    [
        (OSLO, datetime(2027, 3, 25, 22, 59, tzinfo=UTC), date(2027, 3, 25)),
        (OSLO, datetime(2027, 3, 25, 23, 0, tzinfo=UTC), date(2027, 3, 26)),
        (OSLO, datetime(2026, 10, 24, 22, 0, tzinfo=UTC), date(2026, 10, 25)),
        (OSLO, datetime(2026, 10, 25, 22, 59, tzinfo=UTC), date(2026, 10, 25)),
        (OSLO, datetime(2026, 10, 25, 23, 0, tzinfo=UTC), date(2026, 10, 26)),
        (OSLO, datetime(2026, 3, 28, 23, 0, tzinfo=UTC), date(2026, 3, 29)),
        (OSLO, datetime(2026, 3, 29, 21, 59, tzinfo=UTC), date(2026, 3, 29)),
        (OSLO, datetime(2026, 3, 29, 22, 0, tzinfo=UTC), date(2026, 3, 30)),
        (CHATHAM, datetime(2026, 4, 4, 10, 14, tzinfo=UTC), date(2026, 4, 4)),
        (CHATHAM, datetime(2026, 4, 4, 10, 15, tzinfo=UTC), date(2026, 4, 5)),
        (CHATHAM, datetime(2026, 4, 5, 11, 14, tzinfo=UTC), date(2026, 4, 5)),
        (CHATHAM, datetime(2026, 4, 5, 11, 15, tzinfo=UTC), date(2026, 4, 6)),
    ],
    ids=lambda value: f"{value:%m-%d %H:%M}" if isinstance(value, datetime) else None,
)
def test_a_copy_counts_on_the_day_of_the_homes_own_clock(zone: ZoneInfo, moment: datetime, day: date):
    """Days of 25 hours (Oslo 25 October 2026, Chatham 5 April 2026) and of 23 (Oslo 29 March 2026) are one day."""
    found = calendar_of([DatedCopy("one", moment, DayMark.STALE, True)], zone, TODAY)
    assert [each.day for each in days_of(found).values() if each.copies] == [day]


@pytest.mark.parametrize("zone", [OSLO, CHATHAM, ZoneInfo("America/St_Johns")], ids=str)
def test_a_copy_a_day_leaves_no_gap_across_clock_changes(zone: ZoneInfo):
    days = [TODAY - timedelta(days=back) for back in range(380)]
    copies = [
        DatedCopy(day, datetime(day.year, day.month, day.day, 3, tzinfo=zone), DayMark.STALE, True)
        for day in days
    ]
    found = calendar_of([copy for copy in copies if copy.taken_at.date() >= first_shown(TODAY)], zone, TODAY)
    assert found.gaps == ()
    assert found.tally[DayMark.NONE] == 0


@given(st.sets(st.integers(0, 389), max_size=60))
def test_every_day_is_shown_once_and_gaps_hold_no_sound_day(backs: set[int]):
    sound = {TODAY - timedelta(days=back) for back in backs}
    found = calendar_of(copies_on(*sound), OSLO, TODAY)
    shown = [day.day for month in found.months for week in month.weeks for day in week if day]
    assert len(shown) == len(set(shown)) == sum(found.tally.values())
    assert {day.day for day in days_of(found).values() if day.copies} == sound
    in_gaps = [gap.first + timedelta(days=count) for gap in found.gaps for count in range(gap.days)]
    assert len(in_gaps) == len(set(in_gaps))
    assert not sound & set(in_gaps)
