"""Names in their own scripts, drawn and read back."""

import pytest

from reports.drawing import faces, handover, recovery
from reports.drawing.faces import Family
from reports.drawing.sheet import Paper
from reports.drawing.type import Style, set_lines
from tests.reports import samples
from tests.reports.reading import pages, plumbed, squeezed, text_of

LEFT_TO_RIGHT = {name: text for name, text in samples.SCRIPTS.items() if name not in ("arabic", "hebrew")}
BODY = Style(Family.BOOK, 10, 12)


@pytest.mark.parametrize("name", LEFT_TO_RIGHT.values(), ids=LEFT_TO_RIGHT)
def test_a_name_is_read_back_as_it_was_typed(name):
    printed = text_of(handover.draw(samples.named(samples.kelp_handover(), name), Paper.A4))
    assert squeezed(name) in printed


@pytest.mark.parametrize("name", LEFT_TO_RIGHT.values(), ids=LEFT_TO_RIGHT)
def test_a_name_is_read_back_by_a_second_reader(name):
    with plumbed(recovery.draw(samples.nasty_recovery(name), Paper.A4)) as file:
        assert squeezed(name) in squeezed("".join(page.extract_text() for page in file.pages))


@pytest.mark.parametrize("name", ["arabic", "hebrew"])
def test_a_name_from_right_to_left_stands_mirrored_for_a_reader_of_places(name):
    text = samples.SCRIPTS[name]
    with plumbed(handover.draw(samples.named(samples.kelp_handover(), text), Paper.A4)) as file:
        lines = squeezed("".join(page.extract_text() for page in file.pages))
    letters = [letter for letter in text if letter.isalpha()]
    assert "".join(reversed(letters)) in "".join(letter for letter in lines if letter.isalpha())


def test_arabic_words_are_read_back_by_a_reader_that_knows_directions():
    octets = handover.draw(samples.named(samples.kelp_handover(), samples.SCRIPTS["arabic"]), Paper.A4)
    words = "".join(page.extract_text() for page in pages(octets)).split()
    assert {"ليلى", "حدّاد"} <= set(words)


def glyphs(text: str) -> list[int]:
    return [
        glyph.number
        for line in set_lines(((text, BODY),), 1000)
        for piece, _ in line.pieces
        for glyph in piece.glyphs
    ]


def test_arabic_letters_take_their_joined_shapes():
    alone = {number for letter in "ليى" for number in glyphs(letter)}
    assert not set(glyphs("ليلى")) & alone


def test_devanagari_vowels_move_before_their_consonant():
    font = faces.face("NotoSansDevanagari-Regular").font
    assert glyphs("नि")[-1] == font.get_nominal_glyph(ord("न"))


def test_the_mark_of_a_letter_is_drawn_as_an_outline_and_its_text_stays_with_the_letter():
    (line,) = set_lines((("नु", BODY),), 1000)
    assert [glyph.text for glyph in line.pieces[0][0].glyphs] == ["नु", ""]


def test_one_name_is_set_in_one_design_even_where_its_first_letters_have_another():
    assert [face.name for face, _ in faces.split("李伟", Family.BOOK, False)] == ["DroidSansFallback"]


def test_a_japanese_name_is_set_in_the_japanese_design():
    assert [face.name for face, _ in faces.split("森下かなえ", Family.BOOK, False)] == ["MTLc3m"]


@pytest.mark.parametrize("family", Family)
@pytest.mark.parametrize("bold", [False, True])
def test_every_script_has_a_face_in_every_style(family, bold):
    runs = [run for name in samples.SCRIPTS.values() for run in faces.split(name, family, bold)]
    assert [text for face, text in runs if not {ord(char) for char in text} <= face.covers] == []
