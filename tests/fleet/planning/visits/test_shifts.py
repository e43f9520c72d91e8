from datetime import timedelta

import pytest

from fleet.planning.visits.request import RestRules
from fleet.planning.visits.shifts import shifts_of
from fleet.planning.visits.span import Minutes, VisitError
from tests.fleet.planning.visits.worlds import at, span, technician

MONDAY, TUESDAY = "2027-03-22", "2027-03-23"
CLOCK = Minutes.before(at(f"{MONDAY} 06:00"))


def local(minute):
    return f"{CLOCK.moment(minute).astimezone(at(MONDAY).tzinfo):%d %H:%M}"


def cut(*days, **rest):
    person = technician(days=days, rest=RestRules(**rest))
    return [(local(row.begin), local(row.end), local(row.until)) for row in shifts_of(person, 0, CLOCK)]


def test_a_day_ends_with_its_window_and_the_overtime():
    assert cut(span(f"{MONDAY} 08:00", "16:00")) == [("22 08:00", "22 16:00", "22 17:00")]


def test_overtime_ends_in_time_for_the_rest():
    # Twelve hours before seven is seven in the evening; half an hour of the hour of overtime is left.
    days = cut(
        span(f"{MONDAY} 10:00", "18:30"), span(f"{TUESDAY} 07:00", "12:00"), between_days=timedelta(hours=12)
    )
    assert days[0] == ("22 10:00", "22 18:30", "22 19:00")


def test_a_day_too_soon_after_the_last_begins_later():
    days = cut(span(f"{MONDAY} 12:00", "22:00"), span(f"{TUESDAY} 06:00", "14:00"))
    assert days == [("22 12:00", "22 22:00", "22 22:00"), ("23 09:00", "23 14:00", "23 15:00")]


def test_no_day_is_longer_than_the_longest():
    assert cut(span(f"{MONDAY} 06:00", "20:00"), longest_day=timedelta(hours=9)) == [
        ("22 06:00", "22 15:00", "22 15:00")
    ]


def test_a_day_that_the_rest_eats_up_is_none():
    assert len(cut(span(f"{MONDAY} 14:00", "23:59"), span(f"{TUESDAY} 06:00", "09:00"))) == 1


def test_days_that_overlap_are_refused():
    with pytest.raises(VisitError, match="Two days of NOOR overlap"):
        cut(span(f"{MONDAY} 08:00", "16:00"), span(f"{MONDAY} 15:00", "18:00"))
