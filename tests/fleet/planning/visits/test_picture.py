"""A day as a strip: pieces follow each other, on the hours of the clock, across its changes."""

from datetime import timedelta
from zoneinfo import ZoneInfo

from fleet.planning.visits.picture import LEFT, RIGHT, Part, strip_of
from fleet.planning.visits.plan import Day, Stop
from fleet.planning.visits.solving import make_plan
from tests.fleet.planning.visits.worlds import OSLO, at, budget, random_request

NO_TIME, HALF = timedelta(), timedelta(minutes=30)


def day(begin, *, pause=NO_TIME, wait=NO_TIME, overtime=NO_TIME):
    leave = begin + pause
    there = leave + HALF
    stop = Stop("V1", "HOME-1", pause, leave, there, there + wait, there + wait + HALF, NO_TIME)
    return Day("T0", begin, stop.end + HALF, NO_TIME, overtime, (stop,))


def test_the_pieces_of_a_day_follow_each_other():
    told = day(at("2027-03-22 08:00"), pause=HALF, wait=HALF)
    strip = strip_of(told, OSLO, told.leave, told.back)
    assert [piece.part for piece in strip.pieces] == [Part.PAUSE, Part.WAY, Part.WAIT, Part.WORK, Part.WAY]
    assert strip.pieces[0].x == LEFT
    for one, following in zip(strip.pieces, strip.pieces[1:], strict=False):
        assert abs(one.x + one.width - following.x) < 0.11
    assert [piece.number for piece in strip.pieces if piece.number] == [1]


def test_hours_are_those_of_the_clock_where_it_changes():
    """At 01:00 UTC on 28 March 2027 clocks in Norway went from 2 to 3 (Directive 2000/84/EC)."""
    told = day(at("2027-03-28 01:10"))
    strip = strip_of(told, OSLO, told.leave, told.back)
    assert [tick.hour for tick in strip.ticks] == [1, 3, 4]
    assert (strip.ticks[0].x, strip.ticks[-1].x) == (LEFT, RIGHT)


def test_a_zone_of_quarter_hours_has_its_ticks_where_our_hours_are():
    told = day(at("2027-03-22 08:10", ZoneInfo("Asia/Kathmandu")))
    strip = strip_of(told, ZoneInfo("Asia/Kathmandu"), told.leave, told.back)
    assert all(tick.at.minute == 0 for tick in strip.ticks)


def test_overtime_begins_where_the_day_should_have_ended():
    told = day(at("2027-03-22 08:00"), overtime=HALF)
    strip = strip_of(told, OSLO, told.leave, told.back)
    assert strip.over == strip.pieces[-1].x
    assert strip_of(day(at("2027-03-22 08:00")), OSLO, told.leave, told.back).over is None


def test_every_day_of_a_plan_fits_its_picture():
    for seed in range(4):
        plan = make_plan(random_request(seed), budget(40))
        for one in plan.days:
            strip = strip_of(one, OSLO, one.leave, one.back)
            assert all(piece.width > 0 and LEFT <= piece.x <= RIGHT for piece in strip.pieces)
            assert sum(piece.part is Part.WORK for piece in strip.pieces) == len(one.stops)
