import pytest

from fleet.planning.reach import Position
from fleet.planning.visits.matrix import ByMatrix, missing_pairs, read_matrix
from fleet.planning.visits.span import VisitError
from tests.fleet.planning.visits.worlds import STEADY

HERE = Position(0, 0)


def test_there_and_back_may_differ():
    pairs = read_matrix("from,to,minutes\nNOOR,KELP-7,20\nKELP-7,NOOR,35.5\n")
    ways = ByMatrix(STEADY, pairs)
    assert (ways.minutes("NOOR", HERE, "KELP-7", HERE), ways.minutes("KELP-7", HERE, "NOOR", HERE)) == (
        20,
        35.5,
    )


def test_missing_pairs_are_named_each_way():
    pairs = read_matrix("from,to,minutes\nA,B,1\nB,A,1\nA,C,1\n")
    assert missing_pairs(pairs, ["A", "B", "C"]) == [("B", "C"), ("C", "A"), ("C", "B")]


def test_a_way_that_is_missing_is_named_when_it_is_needed():
    with pytest.raises(VisitError, match="no way from NOOR to KELP-7"):
        ByMatrix(STEADY, {}).minutes("NOOR", HERE, "KELP-7", HERE)


def test_blank_lines_and_blanks_around_codes_do_not_matter():
    assert read_matrix(" From , TO ,minutes\r\n\r\n A , B , 3 \r\n") == {("A", "B"): 3}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "first line is ''"),
        ("a,b,c\n", "must be from,to,minutes"),
        ("from,to,minutes\nA,B\n", "Line 2 has 2 columns"),
        ("from,to,minutes\nA,B,1\nA,B,2\n", "Line 3 gives the way from A to B a second time"),
        ("from,to,minutes\n,B,1\n", "Line 2 leaves out"),
        ("from,to,minutes\nA,B,quick\n", "Line 2 has 'quick' minutes"),
        ("from,to,minutes\nA,B,nan\n", "Line 2 has 'nan' minutes"),
        ("from,to,minutes\nA,B,inf\n", "Line 2 has 'inf' minutes"),
        ("from,to,minutes\nA,B,-1\n", "Line 2 has '-1' minutes"),
        ("from,to,minutes\nA,B,10081\n", "from 0 to 10080"),
        ("from,to,minutes\nA,A,5\n", "from a place to itself"),
    ],
)
def test_a_matrix_that_cannot_be_is_refused_by_line_and_value(text, words):
    with pytest.raises(VisitError, match=words):
        read_matrix(text)
