"""Text as wide as what people see."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.messages.columns import fold, width


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        pytest.param("GULL-5", 6, id="Latin"),
        pytest.param("復旧", 4, id="wide letters"),
        pytest.param("جهازَي", 5, id="a mark takes no cell"),
        pytest.param("\u2068A\u2069", 1, id="controls of direction take none"),
    ],
)
def test_width_counts_cells(text, cells):
    assert width(text) == cells


def test_words_fold_at_blanks_and_hang():
    assert fold("one two three", 9, "- ", "  ") == ["- one two", "  three"]


def test_a_number_stays_with_what_it_counts():
    assert fold("there are 30 homes", 14) == ["there are", "30 homes"]


def test_a_mark_that_stands_alone_stays_with_its_word():
    assert fold("maisons en rade : une", 17) == ["maisons en rade :", "une"]


def test_letters_without_blanks_fold_between_letters_and_never_before_a_full_stop():
    assert fold("復旧できる家です。", 16) == ["復旧できる家で", "す。"]


@given(
    st.lists(st.text("abc復旧、。ي 1", min_size=1, max_size=12), max_size=20).map(" ".join),
    st.integers(30, 76),
)
def test_no_line_is_wider_than_it_may_be_and_no_letter_is_lost(text, columns):
    lines = fold(text, columns, "  ", "    ")

    assert "".join("".join(lines).split()) == "".join(text.split())
    assert all(width(line) <= columns or " " not in line.strip() for line in lines)
