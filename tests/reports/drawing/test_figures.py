from datetime import date

import pytest
from reportlab.graphics.shapes import Group, Path, Rect, String

from reports.drawing import figures
from reports.facts.mesh import ChannelSurvey, WifiCell
from reports.facts.snapshots import CalendarDay, DayMark


def shapes(drawing, kind):
    return [shape for shape in drawing.contents if isinstance(shape, kind)]


def labels(drawing):
    return [shape.text for shape in shapes(drawing, String)]


@pytest.mark.parametrize(
    ("channel", "mhz"),
    [(11, 2405), (15, 2425), (20, 2450), (25, 2475), (26, 2480)],
    ids=lambda v: f"IEEE 802.15.4 {v}",
)
def test_a_channel_is_centred_where_the_standard_puts_it(channel, mhz):
    assert figures.centre_mhz(channel) == mhz


@pytest.mark.parametrize(
    ("channel", "mhz"), [(1, 2412), (6, 2437), (13, 2472), (14, 2484)], ids=lambda v: f"IEEE 802.11 {v}"
)
def test_a_wifi_channel_is_centred_where_the_standard_puts_it(channel, mhz):
    assert figures.wifi_centre_mhz(WifiCell(channel)) == mhz


def test_a_forty_megahertz_cell_on_channel_1_is_centred_at_2422():
    assert figures.wifi_centre_mhz(WifiCell(1, 40)) == 2422


def test_the_bar_is_filled_in_proportion():
    filled, _ = shapes(figures.headroom_bar(46, 50, 100, 8), Rect)
    assert filled.width == pytest.approx(92)


def test_an_overfull_bar_ends_at_its_frame():
    filled, _ = shapes(figures.headroom_bar(60, 50, 100, 8), Rect)
    assert filled.width == 100


@pytest.mark.parametrize(("used", "limit"), [(None, 50), (46, None), (None, None), (0, 0)])
def test_an_unknown_bar_is_empty_and_dashed(used, limit):
    (frame,) = shapes(figures.headroom_bar(used, limit, 100, 8), Rect)
    assert frame.strokeDashArray == [2, 2]


def test_the_spectrum_has_sixteen_channels_and_ours_filled():
    teeth = shapes(figures.spectrum(None, [20], 500, 60), Rect)
    assert len(teeth) == 16
    assert [at + 11 for at, tooth in enumerate(teeth) if tooth.fillColor is not None] == [20]


def test_the_spectrum_names_each_wifi_cell():
    survey = ChannelSurvey(date(2026, 11, 3), (WifiCell(1), WifiCell(6)))
    assert labels(figures.spectrum(survey, [20], 500, 60))[:2] == ["1", "6"]


def test_a_hump_of_wifi_6_covers_channels_16_to_19_only():
    (hump,) = shapes(figures.spectrum(ChannelSurvey(date(2026, 11, 3), (WifiCell(6),)), [], 850, 60), Path)
    left, right = min(hump.points[0::2]), max(hump.points[0::2])
    inside = [k for k in range(11, 27) if left < (figures.centre_mhz(k) - 2400) * 10 < right]
    assert inside == [16, 17, 18, 19]


def test_an_unheard_level_and_a_loud_one_both_stay_in_the_picture():
    survey = ChannelSurvey(
        date(2026, 11, 3), (WifiCell(1, 20, None), WifiCell(6, 20, 10), WifiCell(11, 20, -120))
    )
    for hump in shapes(figures.spectrum(survey, [], 500, 60), Path):
        assert 0 <= max(hump.points[1::2]) <= 60


def test_the_calendar_has_a_row_a_month_across_a_year_end():
    days = [CalendarDay(date(2026, 12, 31), DayMark.SOUND), CalendarDay(date(2027, 1, 1), DayMark.NONE)]
    assert labels(figures.calendar(days, 240))[:2] == ["2026-12", "2027-01"]


def test_a_proven_day_is_ringed():
    days = [CalendarDay(date(2027, 3, 24), DayMark.PROVEN), CalendarDay(date(2027, 3, 25), DayMark.SOUND)]
    assert len(shapes(figures.calendar(days, 240), Group)) == 1


def test_a_calendar_of_no_days_is_drawn():
    assert figures.calendar([], 240).height > 0


def test_the_same_drawing_serves_a_page():
    svg = figures.as_svg(figures.headroom_bar(46, 50, 100, 8))
    assert "<svg" in svg
