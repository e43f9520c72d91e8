"""Sentences that are longer than their column."""

from fleet.planning.shortening import shortened


def test_a_sentence_that_fits_is_left_as_it_is():
    assert shortened("No spare counts.", 16) == "No spare counts."


def test_a_longer_one_ends_after_a_whole_word_with_an_ellipsis():
    assert shortened("No spare counts at all", 16) == "No spare \N{HORIZONTAL ELLIPSIS}"


def test_a_code_is_never_cut():
    assert shortened("Spare BENCH-S2-A is not proven blank", 18) == "Spare BENCH-S2-A \N{HORIZONTAL ELLIPSIS}"
