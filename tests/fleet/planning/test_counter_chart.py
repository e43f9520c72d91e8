"""The counter ledger as a picture: places, not ink."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from fleet.mesh.counters import HALF_WAY, SPACE_END, Evidence, EvidenceKind
from fleet.planning.counter_chart import (
    BAR_LEFT,
    BAR_RIGHT,
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    CounterChart,
    chart_of,
    space_bar,
)
from fleet.planning.counter_course import Turn, breaks

OSLO = ZoneInfo("Europe/Oslo")
NOW = datetime(2027, 3, 26, 8, 0, tzinfo=UTC)
DAY = timedelta(days=1)


def dailies(count: int, rate: int = 100_000) -> list[Evidence]:
    """The last of them a day ago."""
    return [Evidence(1_000_000 + place * rate, NOW - DAY * (count - place)) for place in range(count)]


def drawn(*lines: Evidence, held: tuple[Evidence, ...] = (), start: int = 9_000_000) -> CounterChart:
    return chart_of(lines, held, breaks(lines), start, NOW, OSLO)


def test_time_runs_to_the_right_and_values_upwards():
    dots = drawn(*dailies(10)).dots
    assert [dot.x for dot in dots] == sorted(dot.x for dot in dots)
    assert [dot.y for dot in dots] == sorted((dot.y for dot in dots), reverse=True)
    assert dots[0].x == LEFT


def test_everything_stands_within_the_frame():
    chart = drawn(*dailies(30), Evidence(4_000_000_000, NOW - DAY), start=4_100_000_000)
    assert all(LEFT <= dot.x <= RIGHT and TOP <= dot.y <= BOTTOM for dot in chart.dots)
    assert all(TOP <= tick.y <= BOTTOM for tick in chart.values)
    assert all(LEFT <= time.x <= RIGHT for time in chart.times)
    assert TOP <= chart.write <= BOTTOM


def test_sightings_are_joined_and_a_number_given_out_begins_anew():
    grant = Evidence(5_000_000, NOW - DAY * 4.5, EvidenceKind.RESTORE)
    lines = dailies(10)
    after = [Evidence(line.value + 4_000_000, line.at) for line in lines[6:]]
    chart = drawn(*lines[:6], grant, *after)
    assert [len(course) for course in chart.courses] == [6, 4]


def test_a_fall_is_not_joined_and_is_marked():
    chart = drawn(*dailies(10), Evidence(12, NOW))
    assert len(chart.courses) == 1
    assert [dot.turn for dot in chart.dots if dot.turn] == [Turn.FELL]


def test_each_kind_keeps_its_name():
    grant = Evidence(5_000_000, NOW - DAY / 2, EvidenceKind.RESTORE)
    air = Evidence(5_000_100, NOW, EvidenceKind.CAPTURE)
    kinds = {dot.kind for dot in drawn(*dailies(3), grant, air, held=(Evidence(7, NOW),)).dots}
    assert kinds == {"snapshot", "restore", "capture", "held"}


def test_a_held_copy_above_the_number_to_write_does_not_stretch_the_scale():
    wild = Evidence(4_000_000_000, NOW)
    assert drawn(*dailies(5), held=(wild,)).values == drawn(*dailies(5)).values


def test_a_clock_of_another_age_does_not_stretch_the_time_axis():
    old = Evidence(900, datetime(1976, 1, 1, tzinfo=UTC))
    assert drawn(*dailies(5), old).times == drawn(*dailies(5)).times


def test_a_line_dated_after_now_stands_at_the_edge():
    ahead = Evidence(2_000_000, NOW + DAY * 300)
    assert drawn(*dailies(5), ahead).dots[-1].x == RIGHT


@pytest.mark.parametrize(
    ("start", "half", "end"),
    [(9_000_000, False, False), (HALF_WAY + 4, True, False), (SPACE_END - 1, False, True)],
)
def test_half_way_and_the_end_are_drawn_where_they_are_in_sight(start: int, half: bool, end: bool):
    chart = drawn(*(Evidence(start - 9 + place, NOW - DAY * (5 - place)) for place in range(5)), start=start)
    assert (chart.half is not None, chart.end is not None) == (half, end)


def test_one_line_is_enough_for_a_picture():
    chart = drawn(Evidence(5, NOW - DAY))
    assert (len(chart.dots), chart.courses) == (1, ())


def test_a_line_of_this_very_moment_is_enough_too():
    assert drawn(Evidence(5, NOW)).dots[0].x == LEFT


def test_years_of_copies_weigh_no_more_than_can_be_seen():
    """Five years, every hour: 43,800 lines."""
    lines = [
        Evidence(1_000 + place * 3_600, NOW - timedelta(hours=43_800 - place)) for place in range(43_800)
    ]
    chart = chart_of(lines, (), (), 160_000_000, NOW, OSLO)
    assert len(chart.dots) < 700
    assert sum(len(course) for course in chart.courses) < 700


def test_a_break_is_never_thinned_away():
    crowd = [Evidence(1_000_000 + place, NOW - timedelta(minutes=600 - place)) for place in range(500)]
    chart = drawn(*crowd, Evidence(1_000_400, NOW - timedelta(minutes=100)), start=1_100_000)
    assert [dot.turn for dot in chart.dots if dot.turn] == [Turn.FELL]


def test_the_bar_shows_the_whole_space():
    whole = space_bar(SPACE_END, SPACE_END)
    assert (whole.used, whole.write) == (BAR_RIGHT - BAR_LEFT, BAR_RIGHT)
    empty = space_bar(0, 0)
    assert (empty.used, empty.write) == (0, BAR_LEFT)
    assert empty.half == (BAR_LEFT + BAR_RIGHT) / 2


def test_a_sum_past_the_end_stays_on_the_bar():
    assert space_bar(0, SPACE_END * 3).write == BAR_RIGHT
