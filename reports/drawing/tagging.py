"""What a reader who listens gets: the structure tree of a PDF (ISO 32000-2, 14.7 and 14.8).

A block makes a Tag for what it is and hands it to the pen with each line of it. The order in which tags are first drawn
is the order of reading; what has no tag is an artifact: a rule, a frame, a running line.
"""

from dataclasses import dataclass
from typing import Any

from reports.drawing.bidi import bare
from reports.drawing.filing import Raw


@dataclass(frozen=True, slots=True, eq=False)
class Tag:
    """One element: its kind (a standard structure type), and the one that holds it (None: the document).

    alt: said instead of a figure. said: read instead of the content. scope and span: of a table's head cells, "Row" or
    "Column", and how many columns they stand over. box: a figure's place on the page, in points.
    """

    kind: str
    inside: "Tag | None" = None
    alt: str = ""
    said: str = ""
    scope: str = ""
    span: int = 1
    box: tuple[float, float, float, float] | None = None


ARTIFACT = Tag("Artifact")
"""For what is no content: it is passed over when the page is read out."""
RUNNING = Tag("Artifact")
"""For what comes again on every page: running lines, the head of a table that goes on."""
Kid = Tag | tuple[int, int]


class Tree:
    """The tags of one document as they are drawn, and where on its pages their content stands."""

    def __init__(self) -> None:
        self._document = Tag("Document")
        self._kids: dict[Tag, list[Kid]] = {self._document: []}
        self._pages: list[list[Tag]] = [[]]

    def knows(self, tag: Tag) -> bool:
        """Whether anything was drawn under this tag."""
        return tag in self._kids

    def note(self, tag: Tag) -> None:
        """Give the tag its place in the reading order, even if it will hold nothing."""
        if tag not in self._kids:
            holder = tag.inside or self._document
            self.note(holder)
            self._kids[tag] = []
            self._kids[holder].append(tag)

    def mark(self, tag: Tag) -> int:
        """The number of a new stretch of content of this tag on the page at hand."""
        self.note(tag)
        page = self._pages[-1]
        page.append(tag)
        self._kids[tag].append((len(self._pages) - 1, len(page) - 1))
        return len(page) - 1

    def next_page(self) -> int:
        """Begin another page; the number of the one before, counted from 0."""
        self._pages.append([])
        return len(self._pages) - 2

    def put_into(self, document: Any) -> Any:
        """Write the tree into the document; returns the reference for its catalog."""
        root, first = Raw(), document.objectcounter + 2
        reference = document.Reference(root)
        numbers = {tag: first + at for at, tag in enumerate(self._kids)}
        pages = [
            document.idToObjectNumberAndVersion[f"Page{at + 1}"][0] for at in range(len(self._pages) - 1)
        ]
        for tag, kids in self._kids.items():
            holder = numbers[tag.inside or self._document] if tag is not self._document else first - 1
            document.Reference(Raw(_element(tag, holder, kids, numbers, pages)))
        parents = " ".join(
            f"{at} [{' '.join(f'{numbers[tag]} 0 R' for tag in page)}]"
            for at, page in enumerate(self._pages[:-1])
        )
        root.octets = (
            f"<</Type/StructTreeRoot/K {first} 0 R/ParentTree<</Nums[{parents}]>>"
            f"/ParentTreeNextKey {len(pages)}>>"
        ).encode("ascii")
        return reference


def _element(tag: Tag, holder: int, kids: list[Kid], numbers: dict[Tag, int], pages: list[int]) -> bytes:
    """A structure element (ISO 32000-2, table 355); content on its first page stands there as a number alone."""
    first = next((kid[0] for kid in kids if isinstance(kid, tuple)), None)
    parts = [f"<</S/{tag.kind}/P {holder} 0 R"]
    if first is not None:
        parts.append(f"/Pg {pages[first]} 0 R")
    told = " ".join(_kid(kid, first, numbers, pages) for kid in kids)
    if kids:
        parts.append(f"/K[{told}]" if len(kids) > 1 else f"/K {told}")
    if tag.alt:
        parts.append(f"/Alt{text_string(tag.alt)}")
    if tag.said:
        parts.append(f"/ActualText{text_string(tag.said)}")
    parts.extend(_attributes(tag))
    return "".join((*parts, ">>")).encode("ascii")


def _kid(kid: Kid, first: int | None, numbers: dict[Tag, int], pages: list[int]) -> str:
    if isinstance(kid, Tag):
        return f"{numbers[kid]} 0 R"
    page, number = kid
    return str(number) if page == first else f"<</Type/MCR/Pg {pages[page]} 0 R/MCID {number}>>"


def _attributes(tag: Tag) -> list[str]:
    """Of table cells and figures (ISO 32000-2, 14.8.5.4 and 14.8.5.7)."""
    if tag.box:
        return [f"/A<</O/Layout/Placement/Block/BBox[{' '.join(f'{edge:.2f}' for edge in tag.box)}]>>"]
    cell = (f"/Scope/{tag.scope}" if tag.scope else "") + (f"/ColSpan {tag.span}" if tag.span > 1 else "")
    return [f"/A<</O/Table{cell}>>"] if cell else []


def text_string(text: str) -> str:
    """A text string of any script, as hex digits (ISO 32000-2, 7.9.2.2)."""
    return f"<FEFF{bare(text).encode('utf-16-be', 'replace').hex().upper()}>"
