"""A face as a PDF font: only the glyphs that were used, each with the text that it stands for.

ReportLab's own fonts map text to glyphs one to one. Shaped scripts need more (ISO 32000-2, 9.7: composite fonts),
so this is a font of ours with ReportLab's font interface: drawings and the canvas take it like any other.
"""

import hashlib
from functools import cache
from types import SimpleNamespace
from typing import Any
from weakref import WeakKeyDictionary

import uharfbuzz
from reportlab.pdfbase import pdfdoc, pdfmetrics

from reports.drawing.faces import Face, face

KEPT_TABLES = frozenset({"head", "hhea", "hmtx", "maxp", "loca", "glyf"})
SYMBOLIC = 4
Codes = dict[tuple[int, str], int]


class PdfFont:
    """The face in the form ReportLab asks for. Codes are given per document, in the order of first use."""

    _multiByte = 1  # noqa: N815
    _dynamicFont = 1  # noqa: N815
    shapable = False
    encoding = SimpleNamespace(name="Identity-H")

    def __init__(self, drawn: Face) -> None:
        self.drawn = drawn
        self.fontName = drawn.name
        extents = drawn.font.get_font_extents("ltr")
        self.ascent = extents.ascender * drawn.per_em
        self.descent = extents.descender * drawn.per_em
        self.face = SimpleNamespace(
            name=f"sheet {drawn.name}", ascent=self.ascent, descent=self.descent, builtIn=False
        )
        self._codes: WeakKeyDictionary[Any, Codes] = WeakKeyDictionary()

    def codes(self, document: Any) -> Codes:
        """Codes of (glyph, meaning) pairs in this document; add to it to use a glyph."""
        found = self._codes.get(document)
        if found is None:
            found = self._codes[document] = {}
            document.fontMapping[self.fontName] = f"/F{len(document.fontMapping) + 1}"
            document.delayedFonts.append(self)
        return found

    def stringWidth(self, text: str, size: float, encoding: str = "utf8") -> float:  # noqa: N802
        return sum(glyph.advance for glyph in self.drawn.shape(text)) * size / 1000

    def splitString(self, text: str, document: Any, encoding: str = "utf-8") -> list[tuple[int, bytes]]:  # noqa: N802
        codes = self.codes(document)
        glyphs = self.drawn.shape(text)
        used = [codes.setdefault((glyph.number, glyph.text), len(codes) + 1) for glyph in glyphs]
        return [(0, b"".join(code.to_bytes(2, "big") for code in used))]

    def getSubsetInternalName(self, subset: int, document: Any) -> str:  # noqa: N802
        self.codes(document)
        return str(document.fontMapping[self.fontName])

    def addObjects(self, document: Any) -> None:  # noqa: N802
        """Called by ReportLab when the document is complete."""
        codes = self._codes.pop(document)
        if not codes:
            return
        made = document.Reference(_composite(document, self, codes))
        document.idToObject["BasicFonts"].dict[document.fontMapping[self.fontName][1:]] = made


@cache
def pdf_font(name: str) -> PdfFont:
    """The face of that name, known to ReportLab; registered once in the life of a process."""
    made = PdfFont(face(name))
    pdfmetrics.registerFont(made)
    return made


def _composite(document: Any, font: PdfFont, codes: Codes) -> Any:
    octets, places = _subset(font.drawn, frozenset(number for number, _ in codes))
    tag = hashlib.sha256(octets).digest()[:6]
    name = "".join(chr(65 + octet % 26) for octet in tag) + "+" + font.drawn.name
    descendant = pdfdoc.PDFDictionary(
        {
            "Type": "/Font",
            "Subtype": "/CIDFontType2",
            "BaseFont": pdfdoc.PDFName(name),
            "CIDSystemInfo": pdfdoc.PDFDictionary(
                {
                    "Registry": pdfdoc.PDFString("Adobe"),
                    "Ordering": pdfdoc.PDFString("Identity"),
                    "Supplement": 0,
                }
            ),
            "FontDescriptor": document.Reference(_descriptor(document, font, name, octets)),
            "CIDToGIDMap": document.Reference(_stream(document, _glyph_map(codes, places))),
            "DW": 0,
            "W": pdfdoc.PDFArray(
                [1, pdfdoc.PDFArray([_number(font.drawn.width_of(number)) for number, _ in codes])]
            ),
        }
    )
    return pdfdoc.PDFDictionary(
        {
            "Type": "/Font",
            "Subtype": "/Type0",
            "BaseFont": pdfdoc.PDFName(name),
            "Encoding": "/Identity-H",
            "DescendantFonts": pdfdoc.PDFArray([document.Reference(descendant)]),
            "ToUnicode": document.Reference(_stream(document, _to_unicode(codes))),
        }
    )


def _descriptor(document: Any, font: PdfFont, name: str, octets: bytes) -> Any:
    program = _stream(document, octets)
    program.dictionary["Length1"] = len(octets)
    caps = font.drawn.font.get_metric_position_with_fallback(uharfbuzz.OTMetricsTag.CAP_HEIGHT)
    head = font.drawn.source.reference_table("head").data
    corners = [int.from_bytes(head[at : at + 2], "big", signed=True) for at in (36, 38, 40, 42)]
    return pdfdoc.PDFDictionary(
        {
            "Type": "/FontDescriptor",
            "FontName": pdfdoc.PDFName(name),
            "Flags": SYMBOLIC,
            "FontBBox": pdfdoc.PDFArray([round(corner * font.drawn.per_em) for corner in corners]),
            "ItalicAngle": 0,
            "Ascent": round(font.ascent),
            "Descent": round(font.descent),
            "CapHeight": round(caps * font.drawn.per_em),
            "StemV": 80,
            "FontFile2": document.Reference(program),
        }
    )


def _subset(drawn: Face, numbers: frozenset[int]) -> tuple[bytes, dict[int, int]]:
    """The font program with these glyphs only, and where each of them went."""
    wanted = uharfbuzz.SubsetInput()
    wanted.sets(uharfbuzz.SubsetInputSets.GLYPH_INDEX).update(set(numbers))
    dropped = {
        int.from_bytes(tag.encode(), "big") for tag in drawn.source.table_tags if tag not in KEPT_TABLES
    }
    wanted.sets(uharfbuzz.SubsetInputSets.DROP_TABLE_TAG).update(dropped)
    wanted.flags = uharfbuzz.SubsetFlags.NO_HINTING | uharfbuzz.SubsetFlags.NO_LAYOUT_CLOSURE
    plan = uharfbuzz.SubsetPlan(drawn.source, wanted)
    return bytes(plan.execute().blob.data), dict(plan.old_to_new_glyph_mapping)


def _glyph_map(codes: Codes, places: dict[int, int]) -> bytes:
    return b"\0\0" + b"".join(places[number].to_bytes(2, "big") for number, _ in codes)


def _to_unicode(codes: Codes) -> bytes:
    lines = [f"<{code:04X}> <{text.encode('utf-16-be').hex().upper()}>" for (_, text), code in codes.items()]
    blocks = [lines[at : at + 100] for at in range(0, len(lines), 100)]
    body = "\n".join(f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar" for block in blocks)
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
        "1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n"
        f"{body}\nendcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"
    ).encode("ascii")


def _stream(document: Any, content: bytes) -> Any:
    made = pdfdoc.PDFStream()
    made.content = content
    made.filters = [pdfdoc.PDFZCompress]
    return made


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
