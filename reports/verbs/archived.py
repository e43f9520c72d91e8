"""The archived file of a sheet, as long as it is still the one that was issued."""

from hashlib import sha256

from reports.models import Sheet


class Damaged(Exception):
    """The file is gone, or is not the one that was issued."""

    def __init__(self, sheet: Sheet) -> None:
        super().__init__(f"The file of sheet {sheet.number} is gone, or is not the one that was issued.")


def octets_of(sheet: Sheet) -> bytes:
    """The PDF as it was issued. Raises Damaged."""
    try:
        with sheet.file.open("rb") as file:
            octets: bytes = file.read()
    except FileNotFoundError:
        raise Damaged(sheet) from None
    if sha256(octets).hexdigest() != sheet.sha256:
        raise Damaged(sheet)
    return octets


def file_name(sheet: Sheet) -> str:
    """What a sheet is called where it is saved."""
    return f"{sheet.site.code if sheet.site else sheet.kind}-{sheet.number}.pdf"
