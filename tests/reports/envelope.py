"""A mesh whose copy holds keys, and its sealed page opened again with a library that had no part in its encryption."""

from datetime import datetime

import pypdfium2

from fleet.mesh.install_codes import show_key
from fleet.models import How, Mesh
from fleet.snapshots.facts import LinkKeyKind
from fleet.verbs.install_codes import enter
from fleet.verbs.intake import Origin, receive
from reports.verbs.passphrase import drawn_from
from tests import codes, documents, make
from tests.reports.reading import squeezed

PASSPHRASE = drawn_from(bytes(range(25)))


def held_mesh() -> Mesh:
    """A mesh with a copy of twelve devices, one of them with an install code and no link key."""
    row = make.mesh()
    first, *rest = documents.nodes()
    nodes = (
        documents.replace(first, link_key=None, link_key_kind=LinkKeyKind.INSTALL_CODE, label="hall lock"),
        *rest,
    )
    take_in(row, make.NOW, nodes=nodes)
    enter(row.nodes.get(extended_address=first.extended_address), codes.printed("hall"), "Noor", make.NOW)
    return row


def take_in(mesh: Mesh, at: datetime, **given: object) -> None:
    """A copy of the mesh as of then; name what should differ."""
    receive(mesh, documents.document(mesh, at, **given), Origin(How.UPLOAD, "Orla"), at)
    mesh.refresh_from_db()


def opened(octets: bytes, passphrase: str = PASSPHRASE) -> str:
    """The text of a page, without white space."""
    with pypdfium2.PdfDocument(octets, password=passphrase) as pdf:
        return squeezed("".join(page.get_textpage().get_text_range() for page in pdf))


def shown(key: bytes) -> str:
    """A key as it stands in that text."""
    return squeezed(show_key(key))
