from datetime import timedelta

from fleet.planning.estimating import ThreePoints
from fleet.planning.visits.case import make_case
from fleet.planning.visits.matrix import ByMatrix
from fleet.planning.visits.request import Request, RestRules
from fleet.planning.visits.timing import timed
from tests.fleet.planning.visits.worlds import OSLO, STEADY, at, span, technician, visit

NO_PAUSE = RestRules(pause_within=timedelta(hours=24))


def day(visits, minutes, order=None, **person):
    """The timing of NOOR's Monday with so many minutes for every way, in local words."""
    places = ["NOOR", *(stop.home for stop in visits)]
    ways = ByMatrix(STEADY, {(one, two): minutes for one in places for two in places if one != two})
    case = make_case(Request((technician(**person),), tuple(visits), ways))
    found = timed(case, 0, order or range(len(visits)))
    return found and Words(case, found)


class Words:
    def __init__(self, case, timed):
        self._clock, self.timed = case.clock, timed
        self.leave, self.back = self.at(timed.leave), self.at(timed.back)
        self.begins = [self.at(beat.begin) for beat in timed.beats]
        self.pauses = [beat.pause for beat in timed.beats]

    def at(self, minute):
        return f"{self._clock.moment(minute).astimezone(OSLO):%H:%M}"


def test_the_base_is_left_as_late_as_the_first_window_allows():
    found = day([visit(windows=(span("2027-03-22 10:00", "12:00"),))], 30)
    assert (found.leave, found.begins, found.back) == ("09:30", ["10:00"], "11:30")


def test_a_visit_ends_within_its_window():
    assert day([visit(windows=(span("2027-03-22 08:00", "09:29"),))], 30) is None
    assert day([visit(windows=(span("2027-03-22 08:00", "09:30"),))], 30).begins == ["08:30"]


def test_a_later_window_is_taken_when_the_first_is_missed():
    windows = (span("2027-03-22 08:00", "09:00"), span("2027-03-22 13:00", "15:00"))
    assert day([visit("A"), visit("B", windows=windows)], 30).begins == ["08:30", "13:00"]


def test_a_day_that_ends_after_the_overtime_is_none():
    long = [visit(name, minutes=ThreePoints.exactly(120)) for name in "ABCD"]
    assert day(long, 12, rest=NO_PAUSE).back == "17:00"
    assert day(long, 13, rest=NO_PAUSE) is None


def test_overtime_and_travel_are_weighed():
    long = [visit(name, minutes=ThreePoints.exactly(120)) for name in "ABCD"]
    # 5 ways of 12 minutes at 10, and 60 minutes after four o'clock at 15.
    assert day(long, 12, rest=NO_PAUSE).timed.weight == 600 + 900


def test_being_late_weighs_by_the_hour():
    late = visit(due=at("2027-03-22 07:30"))
    # Begins at 08:30, an hour late: 50, and two ways of 30 minutes.
    assert day([late], 30).timed.weight == 600 + 50


def test_another_technician_than_before_weighs():
    assert day([visit(before="PEKKA")], 30).timed.weight == 600 + 200


def test_work_stops_for_a_pause_within_six_hours():
    stops = [visit(name, minutes=ThreePoints.exactly(90)) for name in "ABCD"]
    found = day(stops, 10)
    # 08:00 to 14:50 would be more than six hours: the pause lies before the fourth way.
    assert (found.pauses, found.begins[3], found.back) == ([0, 0, 0, 30], "13:40", "15:20")


def test_a_long_wait_is_a_pause():
    stops = [
        visit("A", minutes=ThreePoints.exactly(120)),
        visit("B", windows=(span("2027-03-22 11:00", "20:00"),), minutes=ThreePoints.exactly(240)),
    ]
    found = day(stops, 10)
    assert (found.pauses, found.begins, found.back) == ([0, 0], ["08:10", "11:00"], "15:10")


def test_a_pause_may_lie_before_the_way_home():
    found = day(
        [visit("A", minutes=ThreePoints.exactly(170)), visit("B", minutes=ThreePoints.exactly(140))], 20
    )
    # 08:00 to 14:10 back; at 13:50 the way home is begun after a pause.
    assert (found.timed.last_pause, found.back) == (30, "14:40")
