"""The octets of a finished PDF: all that is no stream lies packed in one (ISO 32000-2, 7.5.7 and 7.5.8).

A tagged sheet has hundreds of small objects, which ReportLab would write one by one in clear with a line each in the
cross-reference table: half of the file.
"""

import zlib
from typing import Any

from reportlab.pdfbase import pdfdoc

HEAD = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
WIDTHS = (1, 4, 2)
FREE, IN_CLEAR, PACKED = 0, 1, 2


class Raw(pdfdoc.PDFObject):  # type: ignore[misc]
    """An object that is written as it is."""

    __RefOnly__ = 1

    def __init__(self, octets: bytes = b"") -> None:
        self.octets = octets

    def format(self, document: Any) -> bytes:
        return self.octets


def filed(document: Any) -> bytes:
    """The whole file. Takes the place of ReportLab's own writing, objects and their numbers as they are."""
    root, info = document.Reference(document.Catalog), document.Reference(document.info)
    file = bytearray(HEAD)
    entries = [(FREE, 0, 65535)]
    small: list[tuple[int, bytes]] = []
    # Objects may ask for others while they are written, so the number of them is known at the end only.
    while (number := len(entries)) in document.numberToId:
        content = pdfdoc.format(
            document.idToObject[document.numberToId[number]], document, toplevel=1
        ).strip()
        if content.endswith(b"endstream"):
            entries.append((IN_CLEAR, len(file), 0))
            file += b"%d 0 obj\n%b\nendobj\n" % (number, content)
        else:
            entries.append((PACKED, 0, len(small)))
            small.append((number, content))
    pack = len(entries)
    entries = [(PACKED, pack, place) if kind == PACKED else (kind, at, place) for kind, at, place in entries]
    entries.append((IN_CLEAR, len(file), 0))
    file += _packed(pack, small)
    entries.append((IN_CLEAR, len(file), 0))
    start = len(file)
    ends = b"/Root %b/Info %b/ID%b" % (root.format(document), info.format(document), document.ID().strip())
    return bytes(file + _references(pack + 1, entries, ends) + b"startxref\n%d\n%%%%EOF\n" % start)


def _packed(number: int, objects: list[tuple[int, bytes]]) -> bytes:
    places, body = [], bytearray()
    for each, content in objects:
        places.append(b"%d %d" % (each, len(body)))
        body += content + b"\n"
    head = b" ".join(places) + b"\n"
    told = b"/Type/ObjStm/N %d/First %d" % (len(objects), len(head))
    return _stream(number, told, head + body)


def _references(number: int, entries: list[tuple[int, int, int]], ends: bytes) -> bytes:
    rows = b"".join(
        b"".join(value.to_bytes(width, "big") for value, width in zip(entry, WIDTHS, strict=True))
        for entry in entries
    )
    told = b"/Type/XRef/Size %d/W[%d %d %d]%b" % (len(entries), *WIDTHS, ends)
    return _stream(number, told, rows)


def _stream(number: int, told: bytes, content: bytes) -> bytes:
    packed = zlib.compress(content)
    return b"%d 0 obj\n<<%b/Filter/FlateDecode/Length %d>>\nstream\n%b\nendstream\nendobj\n" % (
        number,
        told,
        len(packed),
        packed,
    )
