"""A mesh's copies by the days of its home."""

from datetime import UTC, date, datetime, timedelta

import pytest

from fleet.models import Currency, Custody, Grade
from fleet.planning.copy_calendar import DayMark
from fleet.queries.calendar import calendar_for
from tests import make

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


def marks(mesh, now=make.NOW) -> dict[date, DayMark]:
    months = calendar_for(mesh, now).months
    return {
        day.day: day.mark for month in months for week in month.weeks for day in week if day and day.copies
    }


@pytest.mark.parametrize(
    ("given", "mark"),
    [
        ({}, DayMark.SOUND),
        ({"grade": Grade.PROVEN}, DayMark.SOUND),
        ({"currency": Currency.STALE}, DayMark.STALE),
        ({"currency": Currency.LOCKED_OUT}, DayMark.LOCKED_OUT),
        ({"grade": Grade.HELD}, DayMark.HELD),
        ({"grade": Grade.LANDED}, DayMark.HELD),
        ({"custody": Custody.GONE, "currency": Currency.STALE}, DayMark.GONE),
        ({"custody": Custody.GONE, "grade": Grade.HELD}, DayMark.GONE),
        ({"custody": Custody.DOOMED, "currency": Currency.STALE}, DayMark.STALE),
    ],
)
def test_a_copy_is_marked_by_what_it_is_good_for(given, mark):
    mesh = make.mesh()
    make.snapshot(mesh, **given)
    assert list(marks(mesh).values()) == [mark]


def test_days_are_those_of_the_home():
    """In Chatham (+13:45 until 4 April 2027) the 26th has begun while it is the 25th in UTC."""
    mesh = make.mesh(site=make.site(time_zone="Pacific/Chatham"))
    make.snapshot(mesh, taken_at=datetime(2027, 3, 25, 10, 14, tzinfo=UTC))
    make.snapshot(mesh, taken_at=datetime(2027, 3, 25, 10, 15, tzinfo=UTC))
    assert list(marks(mesh)) == [date(2027, 3, 25), date(2027, 3, 26)]


def test_today_is_the_day_at_the_home():
    mesh = make.mesh(site=make.site(time_zone="Pacific/Chatham"))
    make.snapshot(mesh, taken_at=datetime(2027, 3, 25, 20, 0, tzinfo=UTC))
    found = calendar_for(mesh, datetime(2027, 3, 25, 21, 0, tzinfo=UTC))
    assert (found.days_since, found.ahead) == (0, 0)


def test_a_copy_counts_by_its_capture_and_not_by_its_arrival():
    mesh = make.mesh()
    make.snapshot(mesh, taken_at=make.NOW - 40 * DAY, received_at=make.NOW)
    assert calendar_for(mesh, make.NOW).days_since == 40


def test_the_last_sound_copy_before_the_calendar_begins_its_first_gap():
    mesh = make.mesh()
    make.snapshot(mesh, taken_at=make.NOW - 500 * DAY)
    make.snapshot(mesh, taken_at=make.NOW - 450 * DAY, grade=Grade.HELD)
    assert calendar_for(mesh, make.NOW).gaps[0].days == 500


def test_copies_of_other_meshes_are_not_shown():
    mesh = make.mesh()
    make.snapshot(make.mesh(site=mesh.site))
    assert calendar_for(mesh, make.NOW).months == ()


@pytest.mark.parametrize("count", [0, 1, 120])
def test_a_calendar_takes_two_statements_whatever_it_holds(django_assert_num_queries, count):
    mesh = make.mesh()
    for days in range(count):
        make.snapshot(mesh, taken_at=make.NOW - days * 5 * DAY)
    with django_assert_num_queries(2):
        calendar_for(mesh, make.NOW)
