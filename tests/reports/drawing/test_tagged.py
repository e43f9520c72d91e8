"""Sheets for a reader who listens, and for an archive: what ISO 14289-1 and ISO 19005-2 ask, clause by clause.

Read with pypdf and pypdfium2, which had no part in the drawing. The clauses are cited from memory; no validator of the
two standards was to be had, so the files claim neither.
"""

import ctypes
import re
from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from io import BytesIO
from xml.etree import ElementTree

import pypdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from PIL import Image, ImageCms
from pypdf.generic import ContentStream, DictionaryObject

from reports.drawing import srgb
from reports.drawing.sheet import Paper
from tests.reports import contact, samples
from tests.reports.reading import drawn, squeezed

LOOKED_AT = [
    *((kind, "full", "en") for kind in contact.DRAWN),
    ("hand-over", "bare", "ja"),
    ("hand-over", "250", "ar"),
    ("hand-over", "mixed", "ar"),
    ("recovery", "250", "de"),
    ("sealed page", "0", "en"),
]
# ISO 32000-1, 14.8.4: the standard structure types that sheets use.
STANDARD = {"Document", "H1", "H2", "P", "L", "LI", "Lbl", "LBody", "Table", "TR", "TH", "TD", "Figure"}
HOLDERS = {"LI": {"L"}, "Lbl": {"LI"}, "LBody": {"LI"}, "TR": {"Table"}, "TH": {"TR"}, "TD": {"TR"}}
TEXT_SHOWN = {b"Tj", b"TJ", b"'", b'"'}
PAINTED = {*TEXT_SHOWN, b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*", b"Do", b"sh", b"BI"}


@pytest.fixture(params=LOOKED_AT, ids=" ".join)
def file(request):
    read = pypdf.PdfReader(BytesIO(contact.paper_of(*request.param, Paper.A4)))
    read.language = request.param[2]
    return read


def root(file) -> DictionaryObject:
    return file.trailer["/Root"]


def elements(file, holder=None) -> Iterator[tuple[DictionaryObject, DictionaryObject | None]]:
    """Every structure element with its holder, in the order of reading."""
    for kid in kids_of(holder if holder is not None else root(file)["/StructTreeRoot"]):
        if isinstance(kid, DictionaryObject) and "/S" in kid:
            yield kid, holder
            yield from elements(file, kid)


def kids_of(element) -> list:
    kids = element.get("/K", [])
    return [kid.get_object() for kid in kids] if isinstance(kids, list) else [kids.get_object()]


def kind(element) -> str:
    return element["/S"][1:]


def contents(page, file) -> Iterator[tuple[list, bytes, list]]:
    """Operands and operator of each instruction, with the marks that are open there, innermost last."""
    marks: list = []
    for operands, operator in ContentStream(page.get_contents(), file).operations:
        if operator in (b"BDC", b"BMC"):
            marks.append(operands)
        elif operator == b"EMC":
            marks.pop()
        else:
            yield operands, operator, list(marks)
    assert marks == [], "every mark ends on its page (ISO 32000-1, 14.6.1)"


def test_the_file_says_that_it_is_tagged_and_in_which_language(file):
    assert root(file)["/MarkInfo"]["/Marked"] is not False, "ISO 14289-1, 7.1"
    assert root(file)["/Lang"] == file.language, "ISO 14289-1, 7.2"
    assert root(file)["/ViewerPreferences"]["/DisplayDocTitle"].value is True, "ISO 14289-1, 7.1"
    assert file.metadata.title


def test_everything_painted_is_content_or_an_artifact(file):
    """ISO 14289-1, 7.1: content is either tagged or marked as an artifact; 7.3 of it never within the other."""
    for page in file.pages:
        for _, operator, marks in contents(page, file):
            names = [mark[0] for mark in marks]
            if operator in PAINTED:
                assert names, operator
                assert ("/Artifact" in names) != any("/MCID" in mark[1] for mark in marks if len(mark) > 1)


def test_each_stretch_of_content_belongs_to_the_element_that_names_it(file):
    """ISO 32000-1, 14.7.4.4: the parent tree leads from content back to its element."""
    numbers = root(file)["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    named = Counter()
    for element, _ in elements(file):
        for kid in kids_of(element):
            if isinstance(kid, int):
                named[element["/Pg"].indirect_reference.idnum, int(kid)] += 1
            elif "/MCID" in kid:
                named[kid["/Pg"].indirect_reference.idnum, int(kid["/MCID"])] += 1
    used = Counter()
    for page in file.pages:
        parents = numbers[numbers.index(page["/StructParents"]) + 1]
        found = {mark[1]["/MCID"]: mark[0] for _, _, marks in contents(page, file) for mark in marks
                 if len(mark) > 1 and "/MCID" in mark[1]}  # fmt: skip
        assert sorted(found) == list(range(len(parents)))
        assert [parents[at].get_object()["/S"] for at in range(len(parents))] == [
            found[at] for at in range(len(parents))
        ]
        used.update((page.indirect_reference.idnum, at) for at in found)
    assert used == named


def test_elements_are_of_standard_kinds_and_rightly_nested(file):
    """ISO 14289-1, 7.1 and 7.5 to 7.6 with ISO 32000-1, 14.8.4.3."""
    found = list(elements(file))
    assert {kind(element) for element, _ in found} <= STANDARD
    wrong = [
        (kind(element), kind(holder))
        for element, holder in found
        if kind(element) in HOLDERS and kind(holder) not in HOLDERS[kind(element)]
    ]
    assert wrong == []


def test_one_title_comes_first_and_heads_leave_no_level_out(file):
    """ISO 14289-1, 7.4: heading levels descend without a gap."""
    levels = [int(kind(element)[1]) for element, _ in elements(file) if re.fullmatch(r"H\d", kind(element))]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert max(levels) <= 2


def test_tables_are_whole_and_say_what_their_cells_are_about(file):
    """ISO 14289-1, 7.5: regular tables, whose head cells have a scope."""
    for table, _ in elements(file):
        if kind(table) != "Table":
            continue
        cells = [list(elements(file, row)) for row, _ in elements(file, table) if kind(row) == "TR"]
        widths = {sum(int(attribute(cell, "/ColSpan") or 1) for cell, _ in row) for row in cells}
        assert len(widths) == 1
        heads = [cell for row in cells for cell, _ in row if kind(cell) == "TH"]
        assert heads
        assert {attribute(cell, "/Scope") for cell in heads} <= {"/Row", "/Column"}


def attribute(element, name):
    return element.get("/A", {}).get(name)


def test_every_figure_says_in_words_what_it_shows_and_where_it_stands(file):
    """ISO 14289-1, 7.3."""
    for figure in (element for element, _ in elements(file) if kind(element) == "Figure"):
        assert figure["/Alt"].strip()
        assert len(attribute(figure, "/BBox")) == 4


def test_text_is_read_out_or_comes_again_on_every_page(file):
    """ISO 14289-1, 7.1 and 7.8: no text stands in an artifact that is mere decoration."""
    marks = [m for page in file.pages for _, operator, m in contents(page, file) if operator in TEXT_SHOWN]
    assert sum(any("/MCID" in mark[1] for mark in each if len(mark) > 1) for each in marks) > 20
    assert not any(["/Artifact"] in each for each in marks)


def test_another_library_reads_the_same_tree(file):
    """pypdfium2's own walk finds every element that pypdf finds on the first page, and no unknown one."""
    with pypdfium2.PdfDocument(file.stream.getvalue()) as pdf:
        tree = pdfium.FPDF_StructTree_GetForPage(pdf[0])
        try:
            top = pdfium.FPDF_StructTree_GetChildAtIndex(tree, 0)
            assert pdfium.FPDF_StructTree_CountChildren(tree) == 1
            assert kind_there(top) == "Document"
            found = Counter(walked(top))
        finally:
            pdfium.FPDF_StructTree_Close(tree)
    assert set(found) <= STANDARD
    assert found["H1"] == 1
    assert found["P"] > 0


def kind_there(element) -> str:
    size = pdfium.FPDF_StructElement_GetType(element, None, 0)
    into = ctypes.create_string_buffer(size)
    pdfium.FPDF_StructElement_GetType(element, into, size)
    return into.raw.decode("utf-16-le").rstrip("\0")


def walked(element) -> Iterator[str]:
    for at in range(pdfium.FPDF_StructElement_CountChildren(element)):
        child = pdfium.FPDF_StructElement_GetChildAtIndex(element, at)
        if child:
            yield kind_there(child)
            yield from walked(child)


def test_a_line_that_runs_from_the_right_is_read_in_its_own_order():
    file = pypdf.PdfReader(BytesIO(drawn("hand-over", "nasty 0", Paper.A4)))
    said = {
        mark[1]["/ActualText"]
        for page in file.pages
        for _, _, marks in contents(page, file)
        for mark in marks
        if len(mark) > 1 and "/ActualText" in mark[1]
    }
    assert any(squeezed(samples.LONG_ARABIC[:30]) in squeezed(text) for text in said), "ISO 14289-1, 7.2"


def test_a_repeated_table_head_is_read_once():
    """ISO 14289-1, 7.8: what comes again because of the page is an artifact of it."""
    file = pypdf.PdfReader(BytesIO(drawn("hand-over", "250 devices", Paper.A4)))
    assert len(file.pages) > 3
    tables = [element for element, _ in elements(file) if kind(element) == "Table"]
    column_heads = [
        [cell for cell, _ in elements(file, table) if attribute(cell, "/Scope") == "/Column"]
        for table in tables
    ]
    rows_of_heads = max(len([c for c in heads if attribute(c, "/ColSpan") is None]) for heads in column_heads)
    assert rows_of_heads <= 5


def test_the_metadata_say_the_same_in_both_places(file):
    """ISO 19005-2, 6.6.2 and 6.7.3 of part 1: XMP without a filter, its values those of the information dictionary."""
    stream = root(file)["/Metadata"]
    assert "/Filter" not in stream
    told = ElementTree.fromstring(stream.get_data().decode().split("?>", 1)[1].rsplit("<?", 1)[0])
    texts = {element.tag.partition("}")[2]: (element.text or "").strip() for element in told.iter()}
    inner = [element.text for element in told.iter() if element.tag.endswith("}li")]
    assert file.metadata.title in inner
    assert file.metadata.author in inner
    assert file.metadata.subject in inner
    assert datetime.fromisoformat(texts["CreateDate"]) == file.metadata.creation_date
    assert texts["Producer"] == file.metadata.producer


def test_no_conformance_is_claimed_that_nobody_verified(file):
    packet = root(file)["/Metadata"].get_data()
    assert b"pdfaid" not in packet
    assert b"pdfuaid" not in packet


def test_colours_are_tied_to_a_profile_in_the_file(file):
    """ISO 19005-2, 6.2.3: an output intent whose profile is for RGB; 6.2.4.3: no other device colour is used."""
    (intent,) = root(file)["/OutputIntents"]
    assert intent["/S"] == "/GTS_PDFA1"
    assert intent["/DestOutputProfile"].get_data() == srgb.profile()
    used = {operator for page in file.pages for _, operator, _ in contents(page, file)}
    assert not used & {b"k", b"K", b"cs", b"CS", b"sh"}


def test_every_font_is_embedded_with_its_meaning(file):
    """ISO 19005-2, 6.2.11.4.1 (embedded), 6.2.11.3.2 (codes to glyphs), 6.2.11.7.2 (every code has a text)."""
    for page in file.pages:
        for font in page["/Resources"]["/Font"].values():
            (inner,) = font["/DescendantFonts"]
            assert "/FontFile2" in inner.get_object()["/FontDescriptor"]
            assert "/CIDToGIDMap" in inner.get_object()
            texts = re.findall(rb"^<[0-9A-F]{4}> <([0-9A-F]*)>$", font["/ToUnicode"].get_data(), re.MULTILINE)
            assert texts
            assert not {b"", b"0000", b"FEFF", b"FFFE"} & set(texts)


def test_nothing_that_an_archive_forbids_is_in_the_file(file):
    """ISO 19005-2, 6.1.3 (not encrypted, an identifier), 6.5 and 6.6 (no action), 6.2.10 (no transparency)."""
    assert not file.is_encrypted
    assert len(file.trailer["/ID"]) == 2
    assert not {"/OpenAction", "/AA", "/AcroForm", "/Names"} & set(root(file))
    for page in file.pages:
        assert not {"/Annots", "/AA", "/Group"} & set(page)
        assert "/ExtGState" not in page["/Resources"]
        assert page["/Tabs"] == "/S"


def test_the_profile_means_the_same_as_the_one_of_a_colour_library():
    """Colours taken to Lab by our profile and by LittleCMS's own sRGB differ by a rounding at most."""
    ours = ImageCms.ImageCmsProfile(BytesIO(srgb.profile()))
    theirs = ImageCms.createProfile("sRGB")
    lab = ImageCms.createProfile("LAB")
    steps = range(0, 256, 51)
    colours = Image.new("RGB", (216, 1))
    colours.putdata([(r, g, b) for r in steps for g in steps for b in steps])
    seen = [
        ImageCms.applyTransform(colours, ImageCms.buildTransform(each, lab, "RGB", "LAB")).tobytes()
        for each in (ours, theirs)
    ]
    assert max(abs(a - b) for a, b in zip(*seen, strict=True)) <= 1
