"""Many install codes at once: all of a list, or none of it."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime

from django.db import transaction

from fleet.mesh.addresses import AddressError, parse_eui64
from fleet.mesh.install_codes import InstallCodeError
from fleet.models import Mesh, Node
from fleet.queries.install_codes import twins_of
from fleet.verbs.install_codes import CodeRefused, Kept, enter

WOULD_BE = {kept.value: f"can be {kept.value}" for kept in (Kept.ENTERED, Kept.REPLACED)}
NO_ADDRESS = "This is no EUI-64: right are its 16 hex digits, then the code."


@dataclass(frozen=True, slots=True)
class Line:
    """What somebody typed into one line of a list."""

    number: int
    address: str
    code: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class Told:
    """What becomes of a line, in words without a digit of its code. Doubt: right in itself, but look again."""

    line: int
    device: str
    outcome: str
    ok: bool = True
    doubt: str = ""


@transaction.atomic
def enter_all(mesh: Mesh, lines: Iterable[Line], by: str, now: datetime, dry_run: bool) -> list[Told]:
    """Enter the codes of a mesh's devices. One line that cannot be right, or dry_run, and nothing is written."""
    nodes = {node.extended_address: node for node in mesh.nodes.all()}
    seen: dict[str, int] = {}
    told = [_one(mesh, nodes, seen, line, by, now) for line in lines]
    if not dry_run and all(each.ok for each in told):
        return told
    transaction.set_rollback(True)
    return [replace(each, outcome=WOULD_BE.get(each.outcome, each.outcome)) for each in told]


def _one(
    mesh: Mesh, nodes: dict[str, Node], seen: dict[str, int], line: Line, by: str, now: datetime
) -> Told:
    try:
        address = parse_eui64(line.address)
        before = seen.setdefault(address, line.number)
        if before != line.number:
            raise CodeRefused(f"The device stands in line {before} already.")
        node = nodes.get(address)
        if node is None:
            raise CodeRefused(f"{mesh.code} has no such device.")
        kept = enter(node, line.code, by, now)
    except AddressError:
        # Its own words quote what was typed, and where the columns are swapped that is the code.
        return Told(line.number, "", NO_ADDRESS, ok=False)
    except (CodeRefused, InstallCodeError) as error:
        return Told(line.number, address, str(error), ok=False)
    twins = ", ".join(
        f"{twin.node.mesh.code} {twin.node.extended_address}" for twin in twins_of(node.install_code)
    )
    return Told(line.number, address, kept.value, doubt=twins and f"{twins} holds the same code")
