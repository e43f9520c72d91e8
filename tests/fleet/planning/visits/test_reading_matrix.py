from datetime import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.visits import reading_matrix
from fleet.planning.visits.reading_matrix import Band, MatrixError, read_matrix, written
from tests.fleet.planning.visits.worlds import OSLO

MORNING = Band(7 * 60, 9 * 60)
SLOW = (
    b"from,to,minutes,hours\nA,B,30,\nA,B,60,07:00-09:00\nB,A,30,\nB,A,40,07:00-09:00\n"
    b"A,C,10,\nA,C,20,15:30-24:00\n"
)


def faults(text, known=None):
    with pytest.raises(MatrixError) as caught:
        read_matrix(text if isinstance(text, bytes) else text.encode(), known)
    return [(fault.line, fault.column) for fault in caught.value.faults], str(caught.value)


def test_marks_blank_lines_quotes_and_blanks_around_codes_do_not_matter():
    text = '\ufeff From , TO ,minutes\r\n\r\n "A" , B , 3.5 \r\n'.replace(' "A" ', '"A"')
    assert read_matrix(text.encode()).pairs == {("A", "B"): 3.5}


def test_a_file_of_too_many_lines_is_not_read_to_its_end_even_where_all_are_wrong(monkeypatch):
    monkeypatch.setattr(reading_matrix, "MOST_WAYS", 3)
    found, told = faults("from,to,minutes\n" + "A,B,x\n" * 9)
    assert (found, "at most 3 ways" in told) == ([(5, "")], True)


def test_codes_are_found_however_they_are_written():
    known = {"kelp-7": "KELP-7", "noor": "noor"}
    assert read_matrix(b"from,to,minutes\nkelp-7,NOOR,1\n", known).pairs == {("KELP-7", "noor"): 1}


def test_slow_hours_become_a_pace_from_all_their_ways():
    matrix = read_matrix(SLOW)
    # 30 + 30 minutes free against 60 + 40 in the morning; 10 against 20 in the evening.
    assert (matrix.pace(MORNING), matrix.pace(Band(930, 1440))) == (0.6, 0.5)
    assert matrix.hours(OSLO).paces == (
        (time(0), 1.0),
        (time(7), 0.6),
        (time(9), 1.0),
        (time(15, 30), 0.5),
    )


def test_the_way_that_a_pace_tells_wrongest_is_named_with_its_minutes():
    way, off = read_matrix(SLOW).departure(MORNING)
    assert (way, off) == (("A", "B"), pytest.approx(10))  # 60 in the file, 30 / 0.6 driven


def test_bands_that_touch_follow_each_other():
    text = b"from,to,minutes,hours\nA,B,10,\nA,B,20,00:00-07:00\nA,B,40,07:00-09:00\n"
    assert read_matrix(text).hours(OSLO).paces == ((time(0), 0.5), (time(7), 0.25), (time(9), 1.0))


@given(
    st.dictionaries(
        st.tuples(st.sampled_from("ABCD"), st.sampled_from("EFGH")), st.floats(0, 10_080), min_size=1
    ),
    st.floats(1, 3),
)
def test_what_is_written_out_is_read_back(pairs, times):
    lines = [f"{one},{other},{minutes!r}," for (one, other), minutes in pairs.items()]
    lines += [
        f"{one},{other},{min(minutes * times, 10_080)!r},07:00-09:00"
        for (one, other), minutes in pairs.items()
    ]
    matrix = read_matrix("\n".join(["from,to,minutes,hours", *lines]).encode())
    assert read_matrix(written(matrix).encode()) == matrix


@pytest.mark.parametrize(
    ("text", "where", "told"),
    [
        ("", [(1, "")], "right is from,to,minutes or from,to,minutes,hours"),
        ("a;b;c\n", [(1, "")], "'a;b;c'"),
        ("from,to,minutes\n", [(2, "")], "at least one way"),
        ("from,to,minutes\nA,B\n", [(2, "")], "right is 3 columns"),
        ("from,to,minutes\nA,B,1\nA,B,2\n", [(3, "")], "it stands on line 2"),
        ("from,to,minutes\n,B,1\n", [(2, "from")], "code of a home"),
        ("from,to,minutes\nA,,1\n", [(2, "to")], "code of a home"),
        ("from,to,minutes\nA,B,quick\nA,C,nan\n", [(2, "minutes"), (3, "minutes")], "'quick'"),
        ("from,to,minutes\nA,B,-1\n", [(2, "minutes")], "from 0 to 10080"),
        ("from,to,minutes\nA,B,10081\n", [(2, "minutes")], "from 0 to 10080"),
        ("from,to,minutes\nA,A,5\n", [(2, "minutes")], "0 from a place to itself"),
        ("from,to,minutes,hours\nA,B,5,early\n", [(2, "hours")], "such as 07:00-09:00"),
        ("from,to,minutes,hours\nA,B,5,09:00-07:00\n", [(2, "hours")], "such as 07:00-09:00"),
        ("from,to,minutes,hours\nA,B,5,22:00-24:30\n", [(2, "hours")], "such as 07:00-09:00"),
        ("from,to,minutes,hours\nA,B,5,07:00-09:00\n", [(2, "hours")], "also a line without hours"),
        ("from,to,minutes,hours\nA,B,5,\nA,B,4,07:00-09:00\n", [(3, "minutes")], "at least 5, as on line 2"),
        (
            "from,to,minutes,hours\nA,B,5,\nA,B,6,07:00-09:00\nA,B,6,08:00-10:00\n",
            [(4, "hours")],
            "do not overlap with 07:00-09:00",
        ),
        ("from,to,minutes,hours\nA,B,1,\nA,B,21,07:00-09:00\n", [(3, "hours")], "at most 20 times"),
        ('from,to,minutes\n"A,B,1\n', [(2, "")], "RFC 4180"),
        (b"from,to,minutes\nA,B,1\n\xc5,B,1\n", [(3, "")], "'octet C5'"),
    ],
    ids=lambda value: repr(value)[:40] if isinstance(value, str | bytes) else None,
)
def test_a_file_that_cannot_be_is_refused_by_line_and_column(text, where, told):
    found, words = faults(text)
    assert found == where
    assert told in words


def test_a_code_that_nobody_has_is_named():
    found, words = faults("from,to,minutes\nKELP-8,noor,1\n", {"noor": "noor"})
    assert found == [(2, "from")]
    assert "'KELP-8'" in words


def test_every_fault_is_counted_and_the_first_are_told():
    _, words = faults("from,to,minutes\n" + "A,B,x\n" * 30)
    assert words.endswith("And 10 more.")
