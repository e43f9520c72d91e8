from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pandas
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.readiness import WORST_FIRST, State
from fleet.planning.state_days import Turn, course, days_in, days_of, state_at, together, worst

FIRST, LAST = date(2027, 2, 1), date(2027, 2, 5)
EVERY_DAY = frozenset(days_of(FIRST, LAST))
BARE, THIN, COVERED = State.BARE, State.THIN, State.COVERED


def at(day: int, hour: int = 12, month: int = 2) -> datetime:
    return datetime(2027, month, day, hour, tzinfo=UTC)


def test_a_state_lasts_until_the_next_turn():
    found = course([Turn(at(20, month=1), THIN), Turn(at(4), COVERED)], FIRST, LAST, UTC, EVERY_DAY)
    assert list(found.values()) == [THIN, THIN, THIN, THIN, COVERED]


def test_a_day_counts_by_the_worst_state_it_saw():
    turns = [Turn(at(20, month=1), COVERED), Turn(at(3, 8), BARE), Turn(at(3, 9), COVERED)]
    assert list(course(turns, FIRST, LAST, UTC, EVERY_DAY).values()) == [
        COVERED,
        COVERED,
        BARE,
        COVERED,
        COVERED,
    ]


def test_a_day_before_the_first_look_has_no_state():
    found = course([Turn(at(3), COVERED)], FIRST, LAST, UTC, EVERY_DAY)
    assert list(found.values()) == [None, None, COVERED, COVERED, COVERED]


def test_a_day_on_which_nobody_looked_is_not_like_its_neighbours():
    looked = EVERY_DAY - {date(2027, 2, 3)}
    found = course([Turn(at(20, month=1), COVERED)], FIRST, LAST, UTC, looked)
    assert list(found.values()) == [COVERED, COVERED, None, COVERED, COVERED]


def test_a_turn_is_itself_a_look():
    found = course([Turn(at(3), THIN)], FIRST, LAST, UTC, frozenset())
    assert days_in(found) == {None: 4, THIN: 1}


def test_a_turn_after_the_last_day_changes_nothing():
    found = course([Turn(at(20, month=1), THIN), Turn(at(6), BARE)], FIRST, LAST, UTC, EVERY_DAY)
    assert days_in(found) == {THIN: 5}


def test_days_are_those_of_the_home():
    """23:30 UTC on the 2nd is the 3rd on Chatham, where the clock is 13:45 ahead."""
    found = course(
        [Turn(datetime(2027, 2, 2, 23, 30, tzinfo=UTC), BARE)], FIRST, LAST, ZoneInfo("Pacific/Chatham"), ()
    )
    assert [day.day for day, state in found.items() if state] == [3]


def test_a_home_stands_as_its_worst_mesh():
    one = {FIRST: COVERED, LAST: None}
    other = {FIRST: THIN, LAST: None}
    assert together([one, other]) == {FIRST: THIN, LAST: None}


def test_no_mesh_gives_no_day():
    assert together([]) == {}


def test_the_state_at_a_moment_is_that_of_the_last_turn():
    turns = [Turn(at(4), COVERED), Turn(at(2), THIN)]
    assert (state_at(turns, at(1)), state_at(turns, at(3)), state_at(turns, at(4))) == (None, THIN, COVERED)


def test_the_worst_of_nothing_is_nothing():
    assert worst([None, None]) is None


TURNS = st.lists(
    st.tuples(st.integers(-20 * 24, 12 * 24), st.sampled_from(State)),
    max_size=12,
    unique_by=lambda turn: turn[0],
)


@given(turns=TURNS)
def test_a_course_is_that_of_a_table_of_hours(turns):
    """By pandas, hour by hour: the state carried forward, the worst of each day."""
    start = datetime(2027, 2, 1, tzinfo=UTC)
    found = course(
        [Turn(start + timedelta(hours=hour), state) for hour, state in turns], FIRST, LAST, UTC, EVERY_DAY
    )
    ranks = pandas.Series({hour: WORST_FIRST.index(state) for hour, state in sorted(turns)}, dtype=float)
    table = ranks.reindex(range(-20 * 24, 5 * 24)).ffill()
    # The hour before midnight is carried into the day, whatever follows on the stroke of it.
    worst_ranks = [table.loc[day * 24 - 1 : day * 24 + 23].min() for day in range(5)]
    expected = [None if pandas.isna(rank) else WORST_FIRST[int(rank)] for rank in worst_ranks]
    assert list(found.values()) == expected


@pytest.mark.parametrize("days", [1, 28, 366])
def test_every_day_is_counted_once(days):
    last = FIRST + timedelta(days=days - 1)
    assert sum(days_in(course([], FIRST, last, UTC, ())).values()) == days
