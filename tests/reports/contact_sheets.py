"""Contact sheets to look at: every kind of paper, all its pages side by side, one picture a case.

Run from the project's folder: python -m tests.reports.contact_sheets FOLDER [KIND [LANGUAGE]]
"""

import sys
from pathlib import Path

import pypdfium2
from PIL import Image

from tests.reports import contact
from tests.reports.looking import faults

DOTS_AN_INCH = 60
ACROSS = 4
GAP = 10
TABLE = (120, 120, 120)


def picture(octets: bytes, dots: int = DOTS_AN_INCH, across: int = ACROSS) -> Image.Image:
    """All pages of a PDF on one table, so many in a row."""
    with pypdfium2.PdfDocument(octets) as pdf:
        pages = [page.render(scale=dots / 72).to_pil().convert("RGB") for page in pdf]
    wide, high = max(page.width for page in pages), max(page.height for page in pages)
    columns = min(across, len(pages))
    size = (columns * (wide + GAP) + GAP, -(-len(pages) // columns) * (high + GAP) + GAP)
    sheet = Image.new("RGB", size, TABLE)
    for at, page in enumerate(pages):
        sheet.paste(page, (GAP + at % columns * (wide + GAP), GAP + at // columns * (high + GAP)))
    return sheet


def main(folder: Path, kind: str = "", language: str = "") -> None:
    """Write a picture of every case, or of those of one kind and language, and print what is wrong with it."""
    folder.mkdir(parents=True, exist_ok=True)
    for case in contact.everything():
        if kind not in ("", case[0]) or language not in ("", case[2]):
            continue
        octets = contact.paper_of(*case)
        name = "-".join(case).replace(" ", "-").lower()
        picture(octets).save(folder / f"{name}.png", optimize=True)
        print(f"{name}.png: {'; '.join(faults(octets)) or 'nothing wrong found'}")


if __name__ == "__main__":
    if len(sys.argv) < 2:
        raise SystemExit(__doc__)
    main(Path(sys.argv[1]), *sys.argv[2:])
