"""What a client takes along when an agreement ends: the files of the hand-back pack, from rows."""

import csv
import io
from collections.abc import Iterable, Iterator

from fleet.mesh.addresses import show_eui64, show_short
from fleet.models import Mesh, Node, Snapshot
from fleet.queries.readiness import restorable
from fleet.queries.sealed import open_body
from reports.models import Sheet
from sites.models import Site

DEVICE_COLUMNS = (
    "EUI-64",
    "short address",
    "name",
    "room",
    "what it is",
    "role",
    "power",
    "battery",
    "by hand",
)
COPY_COLUMNS = ("taken at (UTC)", "grade", "devices", "SHA-256")
STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def newest_copies(site: Site) -> list[tuple[Mesh, Snapshot | None]]:
    """Each mesh of the home with the copy to bring it back from."""
    meshes = site.meshes.select_related("site__client").order_by("code")
    return [(mesh, restorable(mesh)) for mesh in meshes]


def documents_of(mesh: Mesh, copy: Snapshot) -> Iterator[tuple[str, bytes]]:
    """The copy exactly as it came, under its mesh's folder. Raises SealError or PackError."""
    yield f"{mesh.code}/snapshot-{copy.taken_at:%Y-%m-%dT%H%M}Z.json", open_body(copy.sealed_body)


def tables_of(mesh: Mesh) -> Iterator[tuple[str, bytes]]:
    """Devices and dated copies of one mesh as CSV (RFC 4180), in UTF-8 with a mark for spreadsheets."""
    nodes = mesh.nodes.filter(gone_since=None).order_by("room", "label", "extended_address")
    yield f"{mesh.code}/devices.csv", table(DEVICE_COLUMNS, map(_device, nodes))
    copies = mesh.snapshots.order_by("-taken_at", "-id")
    yield f"{mesh.code}/copies.csv", table(COPY_COLUMNS, map(_copy, copies))


def sheets_of(site: Site) -> Iterator[tuple[str, bytes]]:
    """Every sheet in force whose file is still here."""
    for sheet in Sheet.objects.filter(site=site, replaced_by=None).order_by("kind", "number"):
        if sheet.file.storage.exists(sheet.file.name):
            with sheet.file.open("rb") as held:
                yield f"sheets/{sheet.number}.pdf", held.read()


def table(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> bytes:
    """A CSV file whose cells no spreadsheet takes for formulas."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(heads)
    writer.writerows([_harmless(cell) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8-sig")


def _harmless(cell: str) -> str:
    return f"'{cell}" if cell.startswith(STARTS_A_FORMULA) else cell


def _device(node: Node) -> tuple[str, ...]:
    short = show_short(node.short_address) if node.short_address is not None else ""
    kind = " ".join(filter(None, (node.kind, node.get_safety_kind_display())))
    who = (show_eui64(node.extended_address), short, node.label, node.room, kind)
    return (*who, node.get_role_display(), node.get_power_display(), node.battery, node.by_hand)


def _copy(copy: Snapshot) -> tuple[str, ...]:
    return (f"{copy.taken_at:%Y-%m-%d %H:%M}", copy.get_grade_display(), str(copy.node_count), copy.sha256)
