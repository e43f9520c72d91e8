"""Fonts inside the file: embedded, subset, no box for a missing glyph, every glyph with its text."""

from io import BytesIO

import pypdf
import pytest

from reports.drawing.faces import FOLDER
from reports.drawing.sheet import Paper
from tests.reports.reading import SHEETS, drawn, pages, places

IDS = [f"{kind}, {name}, {paper}" for kind, name, paper in SHEETS]
every_sheet = pytest.mark.parametrize(("kind", "name", "paper"), SHEETS, ids=IDS)


def fonts(octets: bytes) -> list[pypdf.generic.DictionaryObject]:
    found = {}
    for page in pages(octets):
        for font in page["/Resources"]["/Font"].values():
            found[font.get_object()["/BaseFont"]] = font.get_object()
    return list(found.values())


def descendant(font: pypdf.generic.DictionaryObject) -> pypdf.generic.DictionaryObject:
    return font["/DescendantFonts"][0].get_object()


@every_sheet
def test_every_font_is_embedded(kind, name, paper):
    found = fonts(drawn(kind, name, paper))
    assert [
        font["/BaseFont"] for font in found if "/FontFile2" not in descendant(font)["/FontDescriptor"]
    ] == []


@every_sheet
def test_every_font_is_a_subset_smaller_than_a_quarter_of_its_file(kind, name, paper):
    for font in fonts(drawn(kind, name, paper)):
        tag, whole = font["/BaseFont"][1:].split("+")
        program = descendant(font)["/FontDescriptor"]["/FontFile2"].get_data()
        assert len(tag) == 6
        assert len(program) < (FOLDER / f"{whole}.ttf").stat().st_size / 4


@every_sheet
def test_no_code_stands_for_a_missing_glyph(kind, name, paper):
    for font in fonts(drawn(kind, name, paper)):
        places = descendant(font)["/CIDToGIDMap"].get_data()
        glyphs = [places[at : at + 2] for at in range(2, len(places), 2)]
        assert b"\0\0" not in glyphs


@every_sheet
def test_every_glyph_gives_its_text_back(kind, name, paper):
    silent = {
        char["text"]
        for page in places(kind, name, paper)
        for char in page.chars
        if char["text"] in ("", "\ufffd")
    }
    unmapped = [
        char["text"]
        for page in places(kind, name, paper)
        for char in page.chars
        if char["text"].startswith("(cid:")
    ]
    assert silent == set()
    assert unmapped == []


def test_a_plain_sheet_embeds_only_the_faces_that_it_uses():
    names = sorted(
        font["/BaseFont"].split("+")[1] for font in fonts(drawn("recovery", "model home", Paper.A4))
    )
    assert names == ["JetBrainsMono-Regular", "NotoSans-Bold", "NotoSans-Regular"]


def test_the_file_stays_small():
    assert len(drawn("hand-over", "model home", Paper.A4)) < 80_000


def test_every_font_file_has_its_line_in_the_readme():
    told = (FOLDER / "README.md").read_text(encoding="utf-8")
    assert [path.name for path in FOLDER.glob("*.ttf") if path.name not in told] == []


def test_the_first_line_of_the_file_names_a_version_that_knows_composite_fonts():
    assert BytesIO(drawn("hand-over", "model home", Paper.A4)).readline().strip() == b"%PDF-1.7"
