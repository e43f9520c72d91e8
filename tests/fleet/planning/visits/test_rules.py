from datetime import date
from zoneinfo import ZoneInfo

import pytest

from fleet.planning.visits.request import Conditions, Licence, Rule
from fleet.planning.visits.rules import allowed_spans, day_obstacles, forecast_unknown, person_obstacles
from fleet.planning.visits.span import Span, VisitError
from tests.fleet.planning.visits.worlds import at, span, technician, visit

CHATHAM = ZoneInfo("Pacific/Chatham")
MONDAY, TUESDAY, THURSDAY, FRIDAY = (date(2027, 4, day) for day in (19, 20, 22, 23))
WEEK = Span(at("2027-04-19 08:00"), at("2027-04-25 18:00"))


def rules(obstacles):
    return [obstacle.rule for obstacle in obstacles]


def test_a_home_that_wants_no_swap_before_the_weekend_refuses_friday():
    home = visit(conditions=Conditions(not_before_weekend=True, country="NO"))
    assert [rules(day_obstacles(home, day)) for day in (THURSDAY, FRIDAY)] == [[], [Rule.WEEKEND]]


def test_the_day_before_a_holiday_is_refused_as_a_friday_is():
    # Maundy Thursday is free in Norway; in 2027 it falls on 25 March.
    home = visit(conditions=Conditions(not_before_weekend=True, country="NO"))
    assert rules(day_obstacles(home, date(2027, 3, 24))) == [Rule.WEEKEND]


def test_a_heating_home_is_refused_at_three_degrees_of_frost_with_a_reason():
    home = visit(conditions=Conditions(frost_limit_c=0, lowest_c={MONDAY: -3}))
    (obstacle,) = day_obstacles(home, MONDAY)
    assert (obstacle.rule, obstacle.because) == (
        Rule.FROST,
        "-3 °C are forecast at HOME-V1 on 2027-04-19; the limit is 0.",
    )


def test_frost_in_the_night_after_counts():
    home = visit(conditions=Conditions(frost_limit_c=0, lowest_c={MONDAY: 4, TUESDAY: -1}))
    assert rules(day_obstacles(home, MONDAY)) == [Rule.FROST]


def test_frost_is_waived_by_a_named_person():
    home = visit(
        conditions=Conditions(frost_limit_c=0, lowest_c={MONDAY: -3}, waived={Rule.FROST: "O. Hentsch"})
    )
    assert day_obstacles(home, MONDAY) == []


def test_nobody_cannot_waive():
    with pytest.raises(VisitError, match="waived by nobody"):
        Conditions(waived={Rule.FROST: "  "})


def test_a_licence_cannot_be_waived():
    with pytest.raises(VisitError, match="licence cannot be waived"):
        Conditions(waived={Rule.LICENCE: "O. Hentsch"})


def test_an_unknown_forecast_is_said():
    home = visit(conditions=Conditions(frost_limit_c=0, lowest_c={MONDAY: 4}))
    assert (forecast_unknown(home, MONDAY), day_obstacles(home, MONDAY)) == (True, [])


def test_allowed_days_are_cut_at_the_homes_midnight():
    home = visit(
        zone=CHATHAM, windows=(WEEK,), conditions=Conditions(frost_limit_c=0, lowest_c={TUESDAY: -3})
    )
    spans = [(span.begin.astimezone(CHATHAM), span.end.astimezone(CHATHAM)) for span in allowed_spans(home)]
    # The 19th is refused for the night after it, the 20th for itself.
    assert spans == [(at("2027-04-21 00:00", CHATHAM), WEEK.end)]


def test_daylight_work_lies_between_sunrise_and_sunset():
    home = visit(windows=(span("2027-12-21 06:00", "20:00"),), conditions=Conditions(daylight=True))
    (light,) = allowed_spans(home)
    # Oslo at midwinter: about 09:18 to 15:12.
    assert (light.begin.astimezone(home.zone).hour, light.end.astimezone(home.zone).hour) == (9, 15)


def test_a_licence_holds_on_its_last_day_and_not_on_the_next():
    person = technician(licences=(Licence("mains", date(2020, 1, 1), MONDAY),))
    found = [
        rules(person_obstacles(visit(licences=frozenset(["mains"])), person, [day]))
        for day in (MONDAY, TUESDAY)
    ]
    assert found == [[], [Rule.LICENCE]]


def test_each_obstacle_names_the_person_and_the_thing():
    wanted = visit(
        licences=frozenset(["mains"]), skills=frozenset(["locks"]), parts={"P": 2}, pinned_to="PEKKA"
    )
    found = person_obstacles(wanted, technician(parts={"P": 1}), [MONDAY])
    assert [obstacle.because for obstacle in found] == [
        "NOOR holds no licence mains that is valid on 2027-04-19.",
        "NOOR has not the skill locks.",
        "NOOR has 1 of family P on the van; V1 needs 2.",
        "V1 is pinned to PEKKA, not NOOR.",
    ]


def test_a_helper_needs_only_the_helpers_licence():
    wanted = visit(
        people=2, licences=frozenset(["mains"]), helper_licences=frozenset(["ladder"]), parts={"P": 1}
    )
    (obstacle,) = person_obstacles(wanted, technician(), [MONDAY], helper=True)
    assert obstacle.because == "NOOR holds no licence ladder that is valid on 2027-04-19."
