"""A PDF under a passphrase: AES-256 as ISO 32000-2 has it (security handler revision 6)."""

import secrets
from io import BytesIO

from pypdf import PdfReader, PdfWriter

ALGORITHM = "AES-256"
OWNER_OCTETS = 32


def encrypted(octets: bytes, passphrase: str) -> bytes:
    """The same PDF as PDF 2.0 that only the passphrase opens, its titles and metadata included.

    The owner's password is drawn and thrown away, so there is no second way in. Everything happens in memory. What
    stays in clear by the standard is the file's identifier: it must tell nothing of what is inside.
    """
    writer = PdfWriter(clone_from=PdfReader(BytesIO(octets)))
    writer.pdf_header = "%PDF-2.0"
    writer.encrypt(
        user_password=passphrase, owner_password=secrets.token_hex(OWNER_OCTETS), algorithm=ALGORITHM
    )
    out = BytesIO()
    writer.write(out)
    return out.getvalue()
