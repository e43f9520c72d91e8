"""The first lines of the pages that show a mesh over time."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest

from fleet.mesh.counter_ledger import deciding
from fleet.mesh.counters import HALF_WAY, SPACE_END, Evidence, number_to_write, rate_lower, rate_upper
from fleet.models import Snapshot
from fleet.pages import first_lines_over_time as first_lines
from fleet.planning.copy_calendar import DatedCopy, DayMark, calendar_of
from fleet.queries.comparing import Comparison, Unopened
from fleet.queries.counters import CounterPicture, lasting
from tests import make

DAY = timedelta(days=1)
TODAY = date(2027, 3, 26)


def calendar_line(*days_ago: int, sound: bool = True) -> str:
    mark = DayMark.STALE if sound else DayMark.HELD
    copies = [DatedCopy(days, make.NOW - DAY * days, mark, sound) for days in days_ago]
    return first_lines.of_calendar("GULL-5-A", calendar_of(copies, ZoneInfo("Europe/Oslo"), TODAY))


@pytest.mark.parametrize(
    ("days_ago", "line"),
    [
        ((), "No copy of GULL-5-A has come yet."),
        ((0,), "The last sound copy is of today; no gap since 26 Mar 2027."),
        ((1, 2, 3), "The last sound copy is of yesterday; no gap since 23 Mar 2027."),
        ((71, 78), "No sound copy of GULL-5-A since 14 Jan 2027: the longest gap."),
        (
            (2, 9, 52),
            "The last sound copy is of 24 Mar 2027; the longest gap was 42 days, 3 Feb 2027 to 16 Mar 2027.",
        ),
    ],
)
def test_a_calendar_is_answered_by_age_and_longest_gap(days_ago, line):
    assert calendar_line(*days_ago) == line


def test_held_copies_only_are_said():
    assert calendar_line(1, sound=False) == "Copies of GULL-5-A have come, but not one of them was sound."


def counter_line(*lines: Evidence) -> str:
    upper = rate_upper(lines)
    start = number_to_write(deciding(lines), make.NOW, upper)
    picture = CounterPicture(lines, rate_lower(lines), upper, start, 0)
    return first_lines.of_counter("KELP-7-A", picture, lasting(picture, make.NOW), make.NOW)


def dailies(first: int) -> list[Evidence]:
    return [
        Evidence(first + place * 259_200, make.NOW - DAY * (9 - place)) for place in range(10)
    ]  # 3 a second


def test_a_counter_is_answered_by_the_number_and_its_end():
    line = "A radio written before midnight there starts from 3,398,336; the counters last until 2072 at the earliest."
    assert counter_line(*dailies(1_000_000)) == line


def test_past_half_the_key_is_to_be_changed():
    assert "change the network key first" in counter_line(*dailies(HALF_WAY))


def test_a_number_that_cannot_be_written_is_not_named():
    assert counter_line(Evidence(SPACE_END - 9, make.NOW)) == (
        "No number can be written safely: change the network key."
    )


def test_an_unknown_rate_is_said():
    assert counter_line(Evidence(1_000_000, make.NOW)).endswith(
        "how long the counters last is not known yet."
    )


def test_a_ledger_without_a_line_is_said():
    line = first_lines.of_counter("KELP-7-A", None, None, make.NOW)
    assert line == "No counter of KELP-7-A is on record under the key in use."


@pytest.mark.parametrize(
    ("count", "begins"), [(1, "One of the two copies cannot be opened;"), (2, "Neither copy can be opened;")]
)
def test_copies_that_do_not_open_are_said(count, begins):
    old, new = Snapshot(), Snapshot()
    unopened = tuple(Unopened(copy, "It was erased.") for copy in (old, new)[:count])
    assert first_lines.of_comparison("KELP-7-A", Comparison(old, new, unopened)).startswith(begins)


def test_without_a_pair_the_page_asks():
    assert first_lines.of_comparison("KELP-7-A", None) == "Which two copies of KELP-7-A are to be compared?"
