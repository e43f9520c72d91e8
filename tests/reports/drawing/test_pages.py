"""Pages as paper: sizes, margins, numbers, heads, nothing over the edge and nothing on top of anything."""

import re
from collections import defaultdict
from dataclasses import replace
from io import BytesIO

import pytest
from PIL import Image

from reports.drawing import handover
from reports.drawing.sheet import Paper
from reports.facts.head import Photo
from tests.reports import samples
from tests.reports.looking import faults
from tests.reports.reading import SHEETS, drawn, page_texts, pages, places

MM = 72 / 25.4
SIZES = {Paper.A4: (595.28, 841.89), Paper.LETTER: (612.0, 792.0)}
SIDES = {"hand-over": (20 * MM, 16 * MM), "recovery": (18 * MM, 13 * MM)}
FOOT = 16 * MM
IDS = [f"{kind}, {name}, {paper}" for kind, name, paper in SHEETS]
every_sheet = pytest.mark.parametrize(("kind", "name", "paper"), SHEETS, ids=IDS)
# Every sheet is looked over by pypdfium2, which is fast; these few also by pdfplumber, letter by letter.
CLOSELY = [
    ("hand-over", "model home", Paper.A4),
    ("hand-over", "nasty 2", Paper.LETTER),
    ("recovery", "model home", Paper.LETTER),
    ("recovery", "nasty 0", Paper.A4),
]
closely = pytest.mark.parametrize(
    ("kind", "name", "paper"), CLOSELY, ids=[f"{kind}, {name}, {paper}" for kind, name, paper in CLOSELY]
)


@every_sheet
def test_every_page_has_the_size_of_its_paper(kind, name, paper):
    sizes = {
        (float(page.mediabox.width), float(page.mediabox.height)) for page in pages(drawn(kind, name, paper))
    }
    assert [tuple(round(side, 1) for side in size) for size in sizes] == [
        tuple(round(s, 1) for s in SIZES[paper])
    ]


@every_sheet
def test_every_page_says_which_of_how_many_it_is(kind, name, paper):
    found = [re.findall(r"page (\d+) of (\d+)", text) for text in page_texts(kind, name, paper)]
    assert found == [[(str(number), str(len(found)))] for number in range(1, len(found) + 1)]


@every_sheet
def test_every_page_carries_number_revision_and_digest(kind, name, paper):
    foot = re.compile(r"[HR]-\d{6}-\w · revision \d.*digest( [0-9A-F]{4}){4}", re.DOTALL)
    texts = page_texts(kind, name, paper)
    assert [bool(foot.search(text)) for text in texts] == [True] * len(texts)


@every_sheet
def test_nothing_is_wrong_to_the_eye(kind, name, paper):
    """Texts outside the frame, over each other or struck through, glyphs that are missing, heads left alone."""
    assert faults(drawn(kind, name, paper)) == []


@closely
def test_no_letter_stands_outside_the_margins(kind, name, paper):
    left, right = SIDES[kind]
    width, height = SIZES[paper]
    outside = [
        (page.page_number, char["text"], round(char["x0"]), round(char["top"]))
        for page in places(kind, name, paper)
        for char in page.chars
        if char["x0"] < left - 0.5 or char["x1"] > width - right + 0.5 or not 15 < char["top"] < height - 15
    ]
    assert outside == []


@closely
def test_no_rule_or_box_stands_outside_the_margins(kind, name, paper):
    left, right = SIDES[kind]
    width, height = SIZES[paper]
    outside = [
        (page.page_number, round(mark["x0"]), round(mark["x1"]), round(mark["top"]))
        for page in places(kind, name, paper)
        for mark in (*page.lines, *page.rects)
        if mark["x0"] < left - 1
        or mark["x1"] > width - right + 1
        or not 15 < mark["top"] <= mark["bottom"] < height
    ]
    assert outside == []


@closely
def test_no_letter_stands_on_another(kind, name, paper):
    assert [hit for page in places(kind, name, paper) for hit in collisions(page.chars)] == []


def collisions(chars: list[dict]) -> list[tuple[int, str, str]]:
    """Letters whose middles lie closer than a fifth of their size, marks above letters aside."""
    cells: dict[tuple[int, int], list[dict]] = defaultdict(list)
    found = []
    for char in chars:
        if not char["text"].strip():
            continue
        x, y = (char["x0"] + char["x1"]) / 2, (char["top"] + char["bottom"]) / 2
        near = [
            other
            for dx in (-1, 0, 1)
            for dy in (-1, 0, 1)
            for other in cells[int(x / 5) + dx, int(y / 5) + dy]
        ]
        for other in near:
            apart = abs(x - (other["x0"] + other["x1"]) / 2), abs(y - (other["top"] + other["bottom"]) / 2)
            if apart[0] < char["size"] * 0.05 and apart[1] < char["size"] * 0.5:
                found.append((char["page_number"], other["text"], char["text"]))
        cells[int(x / 5), int(y / 5)].append(char)
    return found


@closely
def test_no_section_head_stands_alone_at_the_foot_of_a_page(kind, name, paper):
    size = 12 if kind == "hand-over" else 11
    lonely = []
    for page in places(kind, name, paper):
        body = [char for char in page.chars if char["bottom"] < page.height - FOOT]
        lowest = max(char["bottom"] for char in body)
        last = [char for char in body if char["bottom"] > lowest - 3]
        if all(round(char["size"]) == size and "Bold" in char["fontname"] for char in last):
            lonely.append(page.page_number)
    assert lonely == []


@pytest.mark.parametrize("paper", Paper)
def test_a_table_that_goes_on_repeats_its_head(paper):
    texts = page_texts("hand-over", "250 devices", paper)
    going_on = [text for text in texts[1:] if "Ceiling light" in text]
    assert [("How to use it by hand" in text) for text in going_on] == [True] * len(going_on)


@pytest.mark.parametrize("paper", Paper)
def test_a_room_that_goes_on_is_named_again(paper):
    texts = page_texts("hand-over", "250 devices", paper)
    assert any(", continued" in text for text in texts)


@pytest.mark.parametrize("paper", Paper)
def test_the_model_home_has_three_pages_to_keep(paper):
    assert len(pages(drawn("hand-over", "model home", paper))) == 3


@pytest.mark.parametrize("paper", Paper)
def test_the_model_home_has_two_pages_to_recover_from(paper):
    assert len(pages(drawn("recovery", "model home", paper))) == 2


def test_the_recovery_sheet_has_no_colour():
    pages_drawn = places("recovery", "model home", Paper.A4)
    inks = {char["non_stroking_color"] for page in pages_drawn for char in page.chars}
    assert all(len({round(part, 2) for part in ink}) == 1 for ink in inks if len(ink) == 3 and max(ink) < 0.4)


def test_a_photo_of_the_radio_is_on_the_page():
    file = BytesIO()
    Image.new("RGB", (120, 90), (90, 120, 60)).save(file, "JPEG")
    radio = replace(samples.KELP_RADIO, photo=Photo(file.getvalue(), "The radio above the coat rack"))
    facts = replace(samples.kelp_handover(), radios=(radio,))
    images = [image for page in pages(handover.draw(facts, Paper.A4)) for image in page.images]
    assert [image.image.size for image in images if image.image] == [(120, 90)]
