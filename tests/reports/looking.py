"""What is wrong with a page to the eye, found in its octets: for any sheet that the pen has drawn.

Places come from pypdfium2, marks and fonts from pypdf; neither had a part in the drawing.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import pypdf
import pypdfium2
import pypdfium2.raw as pdfium

ROOM = 1.0
CLOSE = 0.35
ACROSS = 1.0
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Seen:
    """One page: the boxes of its texts (left, bottom, right, top, in points) and of its rules, and its size."""

    texts: list[Box]
    rules: list[Box]
    size: tuple[float, float]


def faults(octets: bytes) -> list[str]:
    """Everything that is wrong, each as "page 2: ..."; empty for a sheet that is well set."""
    found = []
    with pypdfium2.PdfDocument(octets) as pdf:
        for number, page in enumerate(pdf, 1):
            seen = _seen(page)
            found += [
                f"page {number}: {fault}" for check in (outside, overlapping, struck) for fault in check(seen)
            ]
    file = pypdf.PdfReader(BytesIO(octets))
    return [*found, *without_glyph(file), *lonely_heads(file), *heads_not_repeated(file)]


def _seen(page: Any) -> Seen:
    texts, rules = [], []
    for each in page.get_objects():
        box = each.get_bounds()
        if each.type == pdfium.FPDF_PAGEOBJ_TEXT:
            if box[2] > box[0] and box[3] > box[1]:
                texts.append(box)
        elif each.type == pdfium.FPDF_PAGEOBJ_PATH and box[3] - box[1] < 3 and box[2] - box[0] > 20:
            rules.append(box)
    return Seen(texts, rules, page.get_size())


def outside(seen: Seen) -> Iterator[str]:
    """Texts beyond the frame: as wide as the running lines' rules, as high as the page but for its edges."""
    frame = max(seen.rules, key=lambda rule: rule[2] - rule[0])
    for left, bottom, right, top in seen.texts:
        if left < frame[0] - ROOM or right > frame[2] + ROOM or bottom < 12 or top > seen.size[1] - 12:
            yield f"text outside the frame at {left:.0f}, {bottom:.0f} to {right:.0f}, {top:.0f}"


def overlapping(seen: Seen) -> Iterator[str]:
    """Texts that lie over each other: by more than a third of the lower one's height, and wider than a hairline."""
    boxes = sorted(seen.texts, key=lambda box: box[1])
    for at, one in enumerate(boxes):
        for other in boxes[at + 1 :]:
            if other[1] >= one[3]:
                break
            high = min(one[3], other[3]) - other[1]
            wide = min(one[2], other[2]) - max(one[0], other[0])
            if wide > ACROSS and high > CLOSE * min(one[3] - one[1], other[3] - other[1]):
                yield f"texts over each other at {other[0]:.0f}, {other[1]:.0f}"


def struck(seen: Seen) -> Iterator[str]:
    """Texts with a rule through their middle."""
    for left, bottom, right, top in seen.texts:
        third = (top - bottom) / 3
        for rule in seen.rules:
            middle = (rule[1] + rule[3]) / 2
            if bottom + third < middle < top - third and min(right, rule[2]) - max(left, rule[0]) > ACROSS:
                yield f"a rule through the text at {left:.0f}, {bottom:.0f}"


def without_glyph(file: pypdf.PdfReader) -> Iterator[str]:
    """Codes that show the glyph which stands for a missing one (number 0 of every font)."""
    for name, font in _fonts(file).items():
        places = font["/DescendantFonts"][0].get_object()["/CIDToGIDMap"].get_data()
        missing = [at // 2 for at in range(2, len(places), 2) if places[at : at + 2] == b"\0\0"]
        if missing:
            yield f"{name}: codes {missing} have no glyph"


def _fonts(file: pypdf.PdfReader) -> dict[str, Any]:
    return {font["/BaseFont"]: font for page in file.pages for font in page["/Resources"]["/Font"].values()}


def lonely_heads(file: pypdf.PdfReader) -> Iterator[str]:
    """Pages, but for the last, whose last content is a head: of a section, or of a table's columns or group."""
    for number, parents in enumerate(_parents(file)[:-1], 1):
        last = parents[-1]
        if re.fullmatch(r"/H\d?", last["/S"]) or _scope(last) == "/Column":
            yield f"page {number}: a head stands alone at the foot"


def heads_not_repeated(file: pypdf.PdfReader) -> Iterator[str]:
    """Pages that begin within a table and do not show its columns' heads again above the first row."""
    pages = _parents(file)
    usual = min(_lines_before_content(page) for page in file.pages)
    for number, (page, parents) in enumerate(zip(file.pages, pages, strict=True), 1):
        table = _table_of(parents[0]) if parents else None
        if table is None or number == 1 or table not in map(_table_of, pages[number - 2]):
            continue
        if _scope(parents[0]) == "/Column":
            continue  # it begins with a head of its own
        heads = _column_heads(table.get_object())
        if _lines_before_content(page) - usual < heads:
            yield f"page {number}: the table goes on without the heads of its {heads} columns"


def _parents(file: pypdf.PdfReader) -> list[list[Any]]:
    """The element of each stretch of content, page by page, in the order in which they were drawn."""
    numbers = file.trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    lists = {int(numbers[at]): numbers[at + 1] for at in range(0, len(numbers), 2)}
    return [[each.get_object() for each in lists[int(page["/StructParents"])]] for page in file.pages]


def _scope(element: Any) -> str:
    return str(element.get("/A", {}).get("/Scope", ""))


def _table_of(element: Any) -> Any:
    """The reference of the table that an element is a cell of; None for all others."""
    if element["/S"] not in ("/TD", "/TH"):
        return None
    return element["/P"]["/P"].indirect_reference if "/P" in element["/P"] else None


def _column_heads(table: Any) -> int:
    first = table["/K"][0].get_object() if isinstance(table["/K"], list) else table["/K"]
    cells = first["/K"] if isinstance(first["/K"], list) else [first["/K"]]
    heads = [cell.get_object() for cell in cells]
    texts = [
        cell for cell in heads if _scope(cell) == "/Column" and "/ColSpan" not in cell["/A"] and "/K" in cell
    ]
    return len(texts)


def _lines_before_content(page: Any) -> int:
    """How many lines of text are drawn as artifacts before the first content of the page."""
    return int(page.get_contents().get_data().partition(b"/MCID")[0].count(b"BT"))
