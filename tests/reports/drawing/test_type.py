import pytest

from reports.drawing import bidi
from reports.drawing.cleaning import clean
from reports.drawing.faces import Family, printable
from reports.drawing.type import Line, Style, one_line, set_lines, width_of

BODY = Style(Family.BOOK, 10, 12)


def texts(lines: list[Line]) -> list[str]:
    return ["".join(glyph.text for piece, _ in line.pieces for glyph in piece.glyphs) for line in lines]


def set_in(text: str, width: float) -> list[str]:
    return texts(set_lines(((text, BODY),), width))


def test_text_breaks_at_spaces():
    assert set_in("one two three", width_of("one two", BODY) + 1) == ["one two", "three"]


def test_no_line_is_wider_than_its_column():
    lines = set_lines((("a register for homes and their radios " * 9, BODY),), 90)
    assert max(line.width for line in lines) <= 90.01


def test_a_space_that_does_not_break_keeps_its_words_together():
    assert set_in("in 31\u00a0devices", width_of("31\u00a0devices", BODY) + 1) == ["in", "31\u00a0devices"]


def test_a_word_wider_than_its_column_is_cut_and_nothing_of_it_is_lost():
    parts = set_in("x" * 100, 60)
    assert "".join(parts) == "x" * 100
    assert len(parts) > 1


def test_a_word_after_a_cut_word_goes_on_in_the_same_line():
    assert set_in("x" * 20 + " y", width_of("x" * 12, BODY) + 1) == ["x" * 12, "x" * 8 + " y"]


def test_empty_text_has_no_line():
    assert set_lines((("", BODY), ("  ", BODY)), 100) == []


def test_spans_without_a_space_between_them_stick_together():
    lines = set_lines((("Lock", BODY.strong()), (": hall", BODY)), 400)
    assert texts(lines) == ["Lock: hall"]


def test_a_space_at_the_end_of_a_span_is_kept():
    lines = set_lines((("Lock ", BODY.strong()), ("hall", BODY)), 400)
    assert texts(lines) == ["Lock hall"]


def test_japanese_breaks_between_letters_but_not_before_a_full_stop():
    width = width_of("森下かな", BODY) + 0.5
    assert set_in("森下かなえ。", width) == ["森下かな", "え。"]
    assert set_in("森下かな。え", width) == ["森下か", "な。え"]


def test_a_right_to_left_paragraph_is_known_by_its_first_letter():
    arabic, latin = set_lines((("ليلى flat", BODY),), 400)[0], set_lines((("flat ليلى", BODY),), 400)[0]
    assert (arabic.rtl, latin.rtl) == (True, False)


def test_latin_words_keep_their_direction_inside_arabic():
    assert set_in("ليلى 12B حداد", 400) == ["دادح 12B ىليل"]


def test_a_long_arabic_paragraph_stays_within_its_column():
    lines = set_lines((("ليلى حدّاد " * 40, BODY),), 200)
    assert max(line.width for line in lines) <= 201


def test_bold_letters_of_a_face_without_bold_are_thickened():
    line = one_line("森下", BODY.strong())
    assert {piece.thickened for piece, _ in line.pieces} == {True}


def test_kerning_brings_a_pair_of_letters_together():
    assert width_of("AV", BODY) < width_of("A", BODY) + width_of("V", BODY)


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("plain", "plain"),
        ("<b>&\"'", "<b>&\"'"),
        ("two\nlines\tand\r\ntabs", "two lines and  tabs"),
        ("no\x00\x07bell", "no  bell"),
        ("a\u202eb\u202cc\u2066d\u2069\u200fe\u061c", "abcde"),
        ("zero\u200bwidth\ufeff", "zerowidth"),
        ("grin \U0001f600", "grin (U+1F600)"),
        ("heart \u2764\ufe0f", "heart (U+2764)"),
        ("private \ue000", "private (U+E000)"),
        ("half \ud800", "half (U+D800)"),
        ("e\u0301", "é"),
        ("می\u200cخواهم", "می\u200cخواهم"),
        ("joined\u200dlatin", "joinedlatin"),
        ("thin\u2009space", "thin space"),
    ],
)
def test_what_was_typed_is_made_fit_to_print(typed, printed):
    assert clean(typed, printable) == printed


def test_numbers_stand_left_to_right_within_a_right_to_left_line():
    found = bidi.visual_runs(bidi.levels("אב 12 גד", True))
    assert found == [(5, 8, True), (3, 5, False), (0, 3, True)]


def test_a_joiner_does_not_shift_the_levels_of_a_line():
    assert bidi.levels("می\u200cخو", True) == [1, 1, 1, 1, 1]


def test_latin_text_needs_no_reordering():
    assert not bidi.has_rtl("Ingunn Sæther, Ελένη, 森下")
