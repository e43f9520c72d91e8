"""The first line of each page, in words."""

import pytest

from fleet.models import Currency, Grade, Mesh, Round, RoundState, Snapshot
from fleet.pages import first_lines
from fleet.planning.readiness import State
from fleet.queries.board import Tally

NONE = {"bare": 0, "unknown": 0, "thin": 0, "by_hand": 0, "covered": 0, "without_mesh": 0}


@pytest.mark.parametrize(
    ("counts", "line"),
    [
        ({"bare": 1, "covered": 4}, "One home could not be brought back today."),
        ({"bare": 3}, "3 homes could not be brought back today."),
        ({"bare": 2, "unknown": 1}, "2 homes could not be brought back today; for one more nobody can say."),
        ({"bare": 1, "unknown": 4}, "One home could not be brought back today; for 4 more nobody can say."),
        ({"unknown": 1}, "For one home nobody can say whether it could be brought back today."),
        (
            {"unknown": 2, "covered": 7},
            "For 2 homes nobody can say whether they could be brought back today.",
        ),
        ({"thin": 2, "covered": 3}, "Every home could be brought back today, 2 of 5 on thin cover."),
        ({"by_hand": 1, "covered": 3}, "Every home could be brought back today."),
        ({"without_mesh": 2}, "No home in care has a mesh in the book yet."),
    ],
)
def test_the_board_counts_homes(counts, line):
    assert first_lines.of_board(Tally(**{**NONE, **counts})) == line


def test_an_unknown_home_is_never_called_covered():
    line = first_lines.of_board(Tally(**{**NONE, "unknown": 1, "covered": 99}))
    assert "Every home" not in line


@pytest.mark.parametrize(
    ("state", "line"),
    [
        (State.BARE, "KELP-7-A could not be brought back today."),
        (State.UNKNOWN, "Nobody can say whether KELP-7-A could be brought back today."),
        (State.THIN, "KELP-7-A could be brought back today, but the cover is thin."),
        (
            State.COVERED_WITH_HANDWORK,
            "KELP-7-A could be brought back today with work by hand, likely in 45 min.",
        ),
        (State.COVERED, "KELP-7-A could be brought back today, likely in 45 min."),
    ],
)
def test_a_mesh_is_answered_by_its_readiness(state, line):
    assert first_lines.of_mesh("KELP-7-A", Mesh(readiness=state.value, minutes_likely=45)) == line


def test_a_home_without_a_mesh_says_so():
    assert first_lines.of_mesh("KELP-7", None) == "KELP-7 has no mesh in care yet."


@pytest.mark.parametrize(
    ("grade", "currency", "line"),
    [
        (
            Grade.HELD,
            Currency.UNJUDGED,
            "This copy is held and cannot be used until its findings are settled.",
        ),
        (Grade.LANDED, Currency.UNJUDGED, "This copy has landed and is not judged yet."),
        (Grade.SOUND, Currency.FRESH, "This copy is sound and fresh."),
        (Grade.PROVEN, Currency.STALE, "This copy is proven but stale."),
    ],
)
def test_a_copy_is_answered_by_its_grade_and_currency(grade, currency, line):
    assert first_lines.of_snapshot(Snapshot(grade=grade, currency=currency)) == line


def test_a_proven_copy_that_is_locked_out_cannot_bring_the_mesh_back():
    copy = Snapshot(grade=Grade.PROVEN, currency=Currency.LOCKED_OUT)
    assert first_lines.of_snapshot(copy).startswith("This copy is locked out")


@pytest.mark.parametrize(
    ("last", "line"),
    [
        (None, "No round has run yet."),
        (
            Round(state=RoundState.RUNNING, done=3, total=12),
            "A round is under way: 3 of 12 meshes.",
        ),
        (
            Round(state=RoundState.DONE, done=1, total=1, errors=[{"mesh": "KELP-7-A"}]),
            "The last round went through one mesh with 1 error.",
        ),
    ],
)
def test_rounds_are_answered_by_the_last(last, line):
    assert first_lines.of_rounds(last) == line
