"""What speaks against a time for a swap."""

from datetime import UTC, datetime, timedelta

import pytest

from fleet.models import Replacement
from fleet.queries.replacing.preflight import window_of
from tests import make

pytestmark = pytest.mark.django_db

MONDAY = datetime(2027, 3, 29, 8, tzinfo=UTC)


def against(begins=MONDAY, hours=2, forecast=None, needs_two=False, now=None, **home):
    mesh = make.mesh(site=make.site(**{"time_zone": "UTC", **home}))
    swap = Replacement(
        mesh=mesh,
        begins_at=begins,
        ends_at=begins + timedelta(hours=hours),
        frost_forecast_c=forecast,
        needs_two=needs_two,
    )
    found = window_of(swap, list(mesh.nodes.all()), now or begins - timedelta(hours=1)).against
    return tuple(each.text for each in found)


def test_a_monday_morning_in_an_easy_house_is_free():
    assert against() == ()


@pytest.mark.parametrize("hour", [6, 15, 22], ids=["before seven", "ends after four", "at night"])
def test_night_and_evening_are_not(hour):
    assert against(MONDAY.replace(hour=hour)) == ("it is not between 07:00 and 16:00 of one day at the home",)


def test_a_time_that_has_passed_is_not():
    assert against(now=MONDAY + timedelta(hours=2)) == ("it has passed: it ended 2027-03-29 at 10:00",)


def test_the_clock_is_that_of_the_home():
    assert against(MONDAY.replace(hour=22), time_zone="Pacific/Chatham") == ()
    assert against(MONDAY, time_zone="Pacific/Chatham")


@pytest.mark.parametrize("days", [4, 5, 6], ids=["Friday", "Saturday", "Sunday"])
def test_days_before_and_of_rest_are_not(days):
    assert against(MONDAY + timedelta(days=days)) == ("it is a Friday, a Saturday or a Sunday",)


def test_a_heated_house_needs_a_forecast():
    assert against(frost_limit_c=-2) == ("the house is heated by this mesh, and no forecast was entered",)


def test_frost_below_the_homes_own_limit_speaks_against_it():
    assert against(frost_limit_c=-2, forecast=-4) == ("frost: -4 °C is forecast",)
    assert against(frost_limit_c=-2, forecast=-1) == ()


def test_a_person_who_needs_care_asks_for_two():
    told = "somebody in the house must not be left alone with it: two people are needed"
    assert against(vulnerable_person=True) == (told,)
    assert against(vulnerable_person=True, needs_two=True) == ()
