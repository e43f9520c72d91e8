"""Rows and the newest sound copy to the facts of a sealed page. Whoever asks writes a journal line; see verbs."""

from datetime import datetime

from django.db.models import Max, Min

from fleet.mesh.codes import with_check
from fleet.models import JUDGED_GRADES, InstallCode, Mesh, Node, Snapshot
from fleet.queries.layouts import facts_of
from fleet.queries.sealed import Erased, open_body, open_code
from fleet.snapshots.facts import LinkKeyKind, NodeFacts, SnapshotFacts
from fleet.snapshots.sealing import SealError
from reports.facts.sealed_page import Held, KeyHistory, SealedPageFacts
from reports.queries.home import at_home, firm_facts, home_facts, local_day, node_name


def sealed_page_facts(mesh: Mesh, copy: Snapshot, now: datetime) -> SealedPageFacts:
    """All secrets of a mesh. Raises SealError, PackError, KeyRingError or ReadError where the copy does not open."""
    said = facts_of(copy, open_body(copy.sealed_body))
    devices = _devices(mesh, said)
    held = tuple(each for each in devices if each.link_key or each.install_code or each.damaged)
    return SealedPageFacts(
        firm=firm_facts(),
        home=home_facts(mesh.site),
        mesh_code=with_check(mesh.code),
        made_at=at_home(now, mesh.site).replace(microsecond=0),
        taken_at=at_home(copy.taken_at, mesh.site),
        mark=copy.key_mark,
        key_sequence=said.key_sequence,
        history=_history(mesh, copy),
        network_key=said.network_key,
        link_key_seed=said.link_key_seed,
        devices=held,
        without=len(devices) - len(held),
    )


def _devices(mesh: Mesh, said: SnapshotFacts) -> list[Held]:
    """Every device of the copy, and those that the book alone knows; by room and name, the roomless last."""
    nodes = {node.extended_address: node for node in mesh.nodes.filter(gone_since=None)}
    codes = InstallCode.objects.filter(node__mesh=mesh, node__gone_since=None)
    rows = {row.node.extended_address: row for row in codes.select_related("data_key", "node__mesh")}
    in_copy = {each.extended_address: each for each in said.nodes}
    addresses = [*in_copy, *(address for address in nodes if address not in in_copy)]
    found = [_held(at, nodes.get(at), in_copy.get(at), rows.get(at)) for at in addresses]
    return sorted(found, key=lambda each: (not each.room, each.room, each.name, each.address))


def _held(address: str, node: Node | None, told: NodeFacts | None, row: InstallCode | None) -> Held:
    key = told.link_key if told and told.link_key_kind != LinkKeyKind.PUBLIC else None
    name = node_name(node) if node else (told.label if told else "") or f"device …{address[-4:]}"
    room = node.room if node else told.room if told else ""
    code, damaged = _opened(row)
    return Held(name, room, address, key, code, damaged)


def _opened(row: InstallCode | None) -> tuple[bytes | None, bool]:
    """A damaged code hides no other: the page says so beside its device."""
    if row is None:
        return None, False
    try:
        return open_code(row), False
    except Erased:
        raise
    except SealError:
        return None, True


def _history(mesh: Mesh, copy: Snapshot) -> KeyHistory:
    under = {"key_mark": copy.key_mark, "key_sequence": copy.key_sequence}
    sound = mesh.snapshots.filter(grade__in=JUDGED_GRADES)
    first = sound.filter(**under).aggregate(at=Min("taken_at"))["at"]
    before = sound.exclude(**under).filter(taken_at__lt=first).aggregate(at=Max("taken_at"))["at"]
    return KeyHistory(local_day(first, mesh.site), local_day(before, mesh.site) if before else None)
