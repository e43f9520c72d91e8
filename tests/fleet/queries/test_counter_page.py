"""What the page of a frame counter asks."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from fleet.mesh.counters import MARGIN
from fleet.models import EvidenceKind, Grade
from fleet.planning.counter_course import Turn
from fleet.queries.counter_page import end_of_day, evidence_of, ledger_lines, page_of
from tests import make

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
A_DAY = 259_200
"""Frames, at 3 a second."""


@pytest.fixture
def mesh():
    return make.mesh()


def dailies(mesh, count: int = 10) -> None:
    """At 3 frames a second, the last of them a day before NOW: 1,000,000 and 259,200 more each day."""
    for place in range(count):
        make.evidence(mesh, 1_000_000 + place * A_DAY, at=make.NOW - DAY * (count - place))


def test_without_a_line_there_is_no_number(mesh):
    shown = page_of(mesh, make.NOW)
    assert (shown.picture, shown.lasts, shown.breaks) == (None, None, ())


def test_the_number_holds_to_the_end_of_the_day_at_the_home(mesh):
    """C1 by hand: the last line is 24 h old at 08:00 UTC, 39 h at midnight in Oslo (23:00 UTC)."""
    dailies(mesh)
    number = page_of(mesh, make.NOW).picture.start.value
    assert number == 1_000_000 + 9 * A_DAY + 2 * 3 * 39 * 3600 + MARGIN


def test_how_long_the_counters_last_is_worked_out_from_where_they_stand(mesh):
    """C2 by hand: from 3,592,000 at 3/s to 2^32 - 1 are 45.3 years, to 2^31 22.6."""
    dailies(mesh)
    lasts = page_of(mesh, make.NOW).lasts
    assert lasts.standing == 1_000_000 + 10 * A_DAY
    assert (lasts.dates.half_earliest.year, lasts.dates.end_earliest.year) == (2049, 2072)
    assert lasts.dates.end_earliest == lasts.dates.end_latest


def test_a_range_follows_from_the_slowest_and_the_fastest_days(mesh):
    dailies(mesh)
    make.evidence(mesh, 1_000_000 + 9 * A_DAY + 2 * A_DAY, at=make.NOW)
    dates = page_of(mesh, make.NOW).lasts.dates
    assert dates.end_earliest < dates.end_latest


def test_writing_the_number_costs_days(mesh):
    """Twice 3/s over 39 h and the margin, less the 24 h that have run, at 3/s."""
    dailies(mesh)
    cost = (2 * 3 * 39 * 3600 + MARGIN - A_DAY) / A_DAY
    assert page_of(mesh, make.NOW).lasts.days_spent == pytest.approx(cost)


def test_an_unknown_rate_is_said(mesh):
    make.evidence(mesh, 1_000_000)
    assert not page_of(mesh, make.NOW).lasts.rate_known


def test_a_break_of_the_course_is_found(mesh):
    dailies(mesh)
    make.evidence(mesh, 7, at=make.NOW)
    (found,) = page_of(mesh, make.NOW).breaks
    assert (found.turn, found.line.value) == (Turn.FELL, 7)


def test_held_copies_under_this_key_are_shown_and_do_not_count(mesh):
    dailies(mesh)
    before = page_of(mesh, make.NOW).picture
    held = make.snapshot(mesh, grade=Grade.HELD, outgoing_counter=4_000_000_000)
    make.snapshot(mesh, grade=Grade.HELD, key_mark="FFFFFFFF")
    shown = page_of(mesh, make.NOW)
    assert (shown.held, [line.value for line in shown.held_lines]) == ([held], [4_000_000_000])
    assert shown.picture == before


def test_a_held_copy_with_a_counter_that_cannot_be_is_left_out_of_the_picture(mesh):
    make.snapshot(mesh, grade=Grade.HELD, outgoing_counter=0xFFFF_FFFF)
    shown = page_of(mesh, make.NOW)
    assert (len(shown.held), shown.held_lines) == (1, ())


def test_lines_under_earlier_keys_are_counted_apart(mesh):
    dailies(mesh, 2)
    make.evidence(mesh, 9, key_mark="FFFFFFFF")
    make.evidence(mesh, 9, key_sequence=mesh.key_sequence + 1)
    assert page_of(mesh, make.NOW).older_lines == 2


def test_the_ledger_stands_newest_first_and_matches_the_picture(mesh):
    dailies(mesh, 3)
    make.evidence(mesh, 9, key_mark="FFFFFFFF")
    make.evidence(mesh, 2_000_000, kind=EvidenceKind.RESTORE, at=make.NOW, landed_at=make.NOW)
    lines = [evidence_of(line) for line in ledger_lines(mesh)]
    assert tuple(reversed(lines)) == page_of(mesh, make.NOW).picture.evidence


@pytest.mark.parametrize(
    ("zone", "now", "ends"),
    [
        (
            "Europe/Oslo",
            datetime(2026, 10, 24, 22, 30, tzinfo=UTC),
            datetime(2026, 10, 25, 23, 0, tzinfo=UTC),
        ),
        ("Europe/Oslo", datetime(2027, 3, 27, 23, 30, tzinfo=UTC), datetime(2027, 3, 28, 22, 0, tzinfo=UTC)),
        (
            "Pacific/Chatham",
            datetime(2027, 4, 3, 10, 30, tzinfo=UTC),
            datetime(2027, 4, 4, 11, 15, tzinfo=UTC),
        ),
    ],
    ids=["a day of 25 hours", "a day of 23 hours", "25 hours in Chatham"],
)
def test_a_day_ends_at_the_homes_own_midnight(zone, now, ends):
    assert end_of_day(now, ZoneInfo(zone)).astimezone(UTC) == ends


@pytest.mark.parametrize("count", [1, 200])
def test_the_page_takes_three_statements_whatever_the_ledger_holds(mesh, django_assert_num_queries, count):
    dailies(mesh, count)
    make.snapshot(mesh, grade=Grade.HELD)
    with django_assert_num_queries(3):
        page_of(mesh, make.NOW)
