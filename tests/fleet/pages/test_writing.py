"""How times, ages and addresses are written."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils.html import strip_tags

from fleet.pages import writing

NOW = datetime(2027, 3, 26, 8, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("age", "words"),
    [
        (timedelta(seconds=20), "under a minute"),
        (timedelta(minutes=1), "1 minute"),
        (timedelta(minutes=119), "119 minutes"),
        (timedelta(minutes=120), "2 hours"),
        (timedelta(hours=47, minutes=59), "47 hours"),
        (timedelta(hours=48), "2 days"),
        (timedelta(days=70, hours=23), "70 days"),
        (timedelta(days=71), "71 days"),
        (timedelta(minutes=-5), "dated ahead of our clock"),
    ],
)
def test_an_age_is_in_the_unit_a_person_would_use(age, words):
    assert writing.age_at(NOW - age, NOW) == words


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(179, "179 min"), (192, "3 h 12 min"), (2880, "48 h"), (4320, "3 days"), (20_160, "14 days")],
)
def test_long_times_are_said_in_hours_and_days(minutes, words):
    assert writing.spell(minutes) == words


def test_no_moment_has_no_age():
    assert writing.age_at(None, NOW) == "none"


@pytest.mark.parametrize(
    ("zone", "text"),
    [
        (
            "Europe/Oslo",
            '26 Mar 2027, 09:00</time> <span class="beside">Oslo (08:00 UTC)</span>',
        ),
        (
            "Asia/Kathmandu",
            '26 Mar 2027, 13:45</time> <span class="beside">Kathmandu (08:00 UTC)</span>',
        ),
        (
            "Pacific/Chatham",
            '26 Mar 2027, 21:45</time> <span class="beside">Chatham (08:00 UTC)</span>',
        ),
        (
            "America/St_Johns",
            '26 Mar 2027, 05:30</time> <span class="beside">St Johns (08:00 UTC)</span>',
        ),
    ],
)
def test_a_moment_stands_on_the_homes_clock_with_utc_beside(zone, text):
    assert text in writing.when(NOW, zone)


def test_utc_names_its_day_where_it_is_another_one():
    late = datetime(2027, 3, 26, 20, 0, tzinfo=UTC)
    assert "27 Mar 2027, 05:00</time>" in writing.when(late, "Asia/Tokyo")
    assert "(26 Mar 20:00 UTC)" in writing.when(late, "Asia/Tokyo")


def test_a_moment_can_be_read_by_machines_in_utc():
    assert 'datetime="2027-03-26T08:00:00+00:00"' in writing.when(NOW, "Europe/Oslo")


def test_room_is_never_overstated():
    assert writing.percent(0.0799) == "7 %"


def test_an_address_is_grouped_by_four():
    assert writing.grouped("02A4C138F00D0011") == '<code class="id">02A4 C138 F00D 0011</code>'


def test_a_short_address_is_written_in_hex():
    assert writing.hex16(0x1A2B) == '<code class="id">0x1A2B</code>'


def test_a_count_is_grouped_by_three():
    assert writing.counted(17_080_656) == "17,080,656"


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(45, "45 min"), (180, "3 h"), (181, "3 h 1 min"), (1439, "23 h 59 min"), (1441, "25 h"), (2835, "48 h")],
)
def test_a_long_time_is_in_hours_and_never_understated(minutes, words):
    assert writing.spell(minutes) == words


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(None, "not known"), (0, "0 min"), (1, "1 min"), (3600, "60 min"), (86_400, "24 h")],
)
def test_a_span_in_seconds_is_said_in_whole_minutes_or_hours(seconds, words):
    assert writing.lasting(seconds) == words


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0, "0"),
        (500_000, "500,000"),
        (20_000_000, "20 million"),
        (1_500_000_000, "1.5 billion"),
        (4_294_900_000, "4.2949 billion"),
    ],
)
def test_a_round_number_of_an_axis_is_short(value, words):
    assert writing.rounded(value) == words


@pytest.mark.parametrize(
    ("day", "words"),
    [(date(2027, 4, 2), "April 2027"), (date(2029, 12, 31), "December 2029"), (date(2030, 1, 1), "2030")],
)
def test_a_far_day_is_said_no_more_exactly_than_it_can_be_known(day, words):
    assert writing.about(day, NOW) == words


@pytest.mark.parametrize(
    ("share", "words"), [(0.0, "0 %"), (0.0001, "0.1 %"), (0.0177, "1.8 %"), (0.501, "51 %"), (1.0, "100 %")]
)
def test_use_is_rounded_up(share, words):
    assert writing.share_used(share) == words


def test_a_code_in_a_sentence_is_not_broken_over_two_lines():
    assert writing.sentence("Move A2-0112 to KELP-7-A.") == (
        'Move <span class="whole">A2-0112</span> to <span class="whole">KELP-7-A</span>.'
    )


def test_markup_in_a_sentence_is_text():
    assert writing.sentence("<b>") == "&lt;b&gt;"


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        ((141, 240, 480), "4 h (2 h 21 min to 8 h)"),
        ((30, 45, 68), "45 min (30 min to 68 min)"),
        ((20, 90, 200), "1 h 30 min (20 min to 3 h 20 min)"),
    ],
)
def test_a_range_is_told_in_one_style(minutes, words):
    assert strip_tags(writing.likely_span(*minutes)) == words
