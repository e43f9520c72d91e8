"""What people type about a visit, read and written again."""

from datetime import timedelta

import pytest

from fleet.planning.visits.terms_text import TermsError, read_counts, read_windows, read_words, write_windows
from tests.fleet.planning.visits.worlds import OSLO, at


def test_windows_are_read_a_line_each_and_written_alike():
    text = "2027-03-30 09:00-12:00\n\n 2027-03-31 13:30 to 15:00 "
    found = read_windows(text, OSLO)
    assert found == (
        (at("2027-03-30 09:00"), at("2027-03-30 12:00")),
        (at("2027-03-31 13:30"), at("2027-03-31 15:00")),
    )
    assert read_windows(write_windows(found, OSLO), OSLO) == found


def test_a_window_over_a_clock_change_is_as_long_as_it_is():
    """Clocks in Norway went back on 31 October 2027 at 01:00 UTC (Directive 2000/84/EC)."""
    ((begin, end),) = read_windows("2027-10-31 01:30-04:00", OSLO)
    assert end.timestamp() - begin.timestamp() == timedelta(hours=3.5).total_seconds()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("soon", "Line 1, “soon”, cannot be read"),
        ("2027-03-30 12:00-09:00", "ends before it begins"),
        ("2027-02-30 09:00-12:00", "holds no day or time that there is"),
        ("2027-03-30 09:00-12:00\n2027-03-30 25:00-26:00", "Line 2"),
        ("2027-03-28 02:30-05:00", "the clock is changed in that hour"),
        ("2027-10-31 02:30-05:00", "the clock is changed in that hour"),
        ("0001-01-01 00:00-01:00", "write a year from 2000 to 2100"),
        ("9999-12-31 23:00-23:59", "write a year from 2000 to 2100"),
    ],
    ids=[
        "words",
        "turned round",
        "no such day",
        "no such time",
        "left out",
        "shown twice",
        "first day",
        "last day",
    ],
)
def test_a_window_that_cannot_be_is_named(text, said):
    with pytest.raises(TermsError, match=said):
        read_windows(text, OSLO)


def test_words_and_counts():
    assert read_words("mains, ladder mains") == ("mains", "ladder")
    assert read_counts("P=1, A2=12") == {"P": 1, "A2": 12}
    with pytest.raises(TermsError, match="is no such word"):
        read_words("Mains")
    for text in ("P", "P=0", "P=x", "P=1 P=2"):
        with pytest.raises(TermsError, match="P"):
            read_counts(text)
