"""What people typed keeps its own order wherever it stands in a line of the other direction (Unicode Annex 9)."""

from io import BytesIO
from itertools import groupby

import pypdf
import pytest

from reports.drawing import bidi
from reports.drawing.language import _, isolated, speaking
from reports.drawing.looks import BOOK
from reports.drawing.sheet import Paper
from reports.drawing.type import Line, Spans, set_lines, width_of
from reports.drawing.words import commas
from tests.reports import contact
from tests.reports.reading import plumbed

MARKUP = '<b>&"evil ليلى {name}'
MARKUP_SEEN = '<b>&"evil ىليل {name}'
BRACKETS = "Smith (12-B)."
ARABIC = "ليلى (12)"
ARABIC_SEEN = ")12( ىليل"
WIDE = 400.0
latin = pytest.mark.parametrize(
    ("name", "wanted"), [(MARKUP, MARKUP_SEEN), (BRACKETS, BRACKETS)], ids=["markup", "brackets"]
)


def seen(line: Line) -> str:
    """The letters of a line as the eye meets them, left to right. A bracket drawn turned round keeps its text."""
    return "".join(glyph.text for piece, _style in line.pieces for glyph in piece.glyphs)


def set_in(tag: str, *texts: str, width: float = WIDE) -> list[str]:
    with speaking(tag):
        spans: Spans = tuple((text, BOOK.body) for text in texts)
        return [seen(line) for line in set_lines(spans, width)]


@latin
def test_a_latin_name_that_is_a_whole_cell_of_an_arabic_table_keeps_its_order(name, wanted):
    assert set_in("ar", name) == [wanted]


@latin
def test_a_latin_name_beside_an_arabic_word_keeps_its_order_and_stands_left_of_it(name, wanted):
    assert set_in("ar", "قفل ", name) == [f"{wanted} لفق"]
    assert set_in("ar", f"{name} ", "قفل") == [f"لفق {wanted}"]


@latin
def test_a_latin_name_beside_its_code_keeps_its_order(name, wanted):
    (line,) = set_in("ar", f"{name} ", "A2-0110 ", "قفل")

    assert line == f"لفق A2-0110 {wanted}"


@latin
def test_a_latin_name_in_an_arabic_sentence_keeps_its_order(name, wanted):
    with speaking("ar"):
        told = _("{name} ({role}) {number}").format(name=name, role="أخ", number="+47 555 01 120")

    assert set_in("ar", told) == [f"+47 555 01 120 )خأ( {wanted}"]


@latin
def test_a_latin_name_in_an_arabic_list_keeps_its_order(name, wanted):
    with speaking("ar"):
        told = commas([name, "A2-0110", "قفل"])

    assert set_in("ar", told) == [f"لفق ،A2-0110 ،{wanted}"]


def test_a_name_that_breaks_over_two_lines_of_an_arabic_cell_keeps_its_order_in_both():
    room = width_of('<b>&"evil ليلى', BOOK.body) + 1

    assert set_in("ar", MARKUP, width=room) == ['<b>&"evil ىليل', "{name}"]


def test_an_arabic_name_keeps_its_order_in_an_english_line_and_leaves_its_neighbours_theirs():
    with speaking("en"):
        told = _("{name} ({role}) {number}").format(name=ARABIC, role="brother", number="+47 555 01 120")
        named = f"Per: {isolated(ARABIC)} 12-B."

    assert set_in("en", "Lock ", ARABIC, " 12-B.") == [f"Lock {ARABIC_SEEN} 12-B."]
    assert set_in("en", ARABIC, " A2-0110") == [f"{ARABIC_SEEN} A2-0110"]
    assert set_in("en", named) == [f"Per: {ARABIC_SEEN} 12-B."]
    assert set_in("en", f"Call {told}.")[0].startswith("Call ")


def test_a_text_without_right_to_left_letters_is_set_in_english_as_it_is():
    assert set_in("en", MARKUP.replace("ليلى", ""), " A2-0110") == ['<b>&"evil {name} A2-0110']


def rows_of(name: str) -> set[str]:
    """The letters of each line of an Arabic hand-over sheet by their places on paper, without spaces."""
    facts = contact.spoken(contact.NAMED["hand-over"](name), "ar")
    rows = set()
    with plumbed(contact.DRAWN["hand-over"](facts, Paper.A4)) as file:
        for page in file.pages:
            chars = sorted(page.chars, key=lambda char: (round(char["bottom"], 1), char["x0"]))
            for _bottom, row in groupby(chars, key=lambda char: round(char["bottom"], 1)):
                rows.add("".join(char["text"] for char in row if char["text"].strip()))
    return rows


@pytest.mark.parametrize(
    ("name", "wanted"), [('<b>&"evil {name} ليلى', '<b>&"evil{name}'), (BRACKETS, "Smith(12-B).")]
)
def test_a_latin_name_stands_in_its_own_order_on_an_arabic_sheet(name, wanted):
    holding = [row for row in rows_of(name) if wanted[:4] in row]

    assert len(holding) > 3
    assert [row for row in holding if wanted not in row] == []


def test_no_mark_of_an_isolated_value_is_left_in_what_an_arabic_file_says_of_itself():
    facts = contact.spoken(contact.NAMED["hand-over"](ARABIC), "ar")
    file = pypdf.PdfReader(BytesIO(contact.DRAWN["hand-over"](facts, Paper.A4)))

    assert file.metadata is not None
    assert file.xmp_metadata is not None
    told = [*map(str, file.metadata.values()), file.xmp_metadata.stream.get_data().decode()]
    assert [text for text in told if bidi.bare(text) != text] == []
    assert "KELP-7/U" in told[-1]
