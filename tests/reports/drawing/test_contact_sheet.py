"""Every kind of paper in every language, looked over as a person would who holds them side by side."""

import re
from dataclasses import replace

import pypdfium2
import pytest
from PIL import ImageStat

from reports.drawing import embedding
from reports.drawing.blocks import text_strip
from reports.drawing.looks import BOOK
from reports.drawing.pen import About, Pen
from reports.drawing.sheet import Margins, Paper, Running, column_width, write
from reports.drawing.strips import Strip
from reports.drawing.tables import Group, Table, table
from reports.drawing.type import one_line
from reports.verbs.kinds import WAYS
from tests.reports import contact, samples
from tests.reports.looking import faults

CASES = contact.everything()
WIDTH = column_width(Paper.A4, Margins())


@pytest.mark.parametrize("case", CASES, ids=[", ".join(case) for case in CASES])
def test_nothing_is_wrong_to_the_eye(case):
    assert faults(contact.paper_of(*case)) == []


def test_no_kind_of_sheet_is_left_out():
    drawn = {way.draw for way in WAYS.values()}
    assert drawn <= set(contact.DRAWN.values())
    assert {case[0] for case in CASES} == set(contact.DRAWN)
    assert {(kind, sample) for kind, found in contact.FACTS.items() for sample in found} == {
        case[:2] for case in CASES
    }


@pytest.mark.parametrize("kind", contact.DRAWN)
def test_every_page_has_ink_where_a_reader_looks_for_it(kind):
    """Rendered by pypdfium2: no page is empty, none is black, and the middle of the first is written on."""
    with pypdfium2.PdfDocument(contact.paper_of(kind, "full", "en", Paper.A4)) as pdf:
        for page in pdf:
            picture = page.render(scale=0.5).to_pil().convert("L")
            assert 0.004 < 1 - ImageStat.Stat(picture).mean[0] / 255 < 0.5


# What follows shows that the look-over fails where it should: one defect at a time on an else empty page.


def seen_on(*strips: Strip) -> list[str]:
    """What is wrong with a sheet of these strips."""
    about = About("Title", "Firm", "Subject", "en", samples.ISSUED, "5EA1" * 16)
    running = Running("Firm · Sheet", "KELP-7", "left", "middle", BOOK.body.family)
    return faults(write(strips, Paper.A4, Margins(), running, about))


def line(text: str = "One line of text", height: float = BOOK.body.leading) -> Strip:
    """A line that claims to be of this height."""
    return replace(text_strip(one_line(text, BOOK.body), BOOK.body, WIDTH), height=height)


def rows(count: int) -> list[Strip]:
    """A table of two columns that runs over several pages."""
    cells = [(f"Device {at}", "does something") for at in range(count)]
    return table(Table((1, 1), (Group("", cells),), ("Name", "Use")), BOOK.table, WIDTH)


def test_a_page_that_is_well_set_has_no_faults():
    assert seen_on(*BOOK.heading_strips(1, "Head", WIDTH), line(), line("Jäger, Ἀγορά, あ"), *rows(120)) == []


def test_a_line_that_runs_off_the_column_is_seen():
    assert re.search("page 1: text outside the frame", " ".join(seen_on(line("word " * 40))))


def test_lines_that_touch_each_other_are_seen():
    assert re.search("page 1: texts over each other", " ".join(seen_on(line(height=4.0), line())))


def test_a_cell_that_runs_into_the_next_column_is_seen():
    def draw(pen: Pen, x: float, top: float) -> None:
        pen.line(one_line("A cell that is much wider than its own column", BOOK.body), x, top - 10)
        pen.line(one_line("The next column", BOOK.body), x + 60, top - 10)

    assert re.search("texts over each other", " ".join(seen_on(Strip(20, draw))))


def test_a_rule_through_a_line_is_seen():
    def draw(pen: Pen, x: float, top: float) -> None:
        pen.line(one_line("Struck through", BOOK.body), x, top - 10)
        pen.rule(x, top - 7, x + WIDTH, top - 7, 0.5)

    assert re.search("a rule through the text", " ".join(seen_on(Strip(20, draw))))


def test_a_glyph_that_is_missing_is_seen(monkeypatch):
    whole = embedding._glyph_map
    monkeypatch.setattr(embedding, "_glyph_map", lambda codes, places: whole(codes, places)[:-2] + b"\0\0")

    assert re.search(r"codes \[\d+\] have no glyph", " ".join(seen_on(line())))


def test_a_head_alone_at_the_foot_is_seen():
    head = [replace(strip, keep=False) for strip in BOOK.heading_strips(2, "Head", WIDTH)]
    found = [seen_on(*[line()] * many, *head, line(), line()) for many in range(50, 70)]

    assert ["page 1: a head stands alone at the foot"] in found
    kept = [
        seen_on(*[line()] * many, *BOOK.heading_strips(2, "Head", WIDTH), line()) for many in range(50, 70)
    ]
    assert kept == [[]] * len(kept)


def test_a_table_that_goes_on_without_its_heads_is_seen():
    bare = [replace(strip, again=()) for strip in rows(120)]

    assert "page 2: the table goes on without the heads of its 2 columns" in seen_on(*bare)
