"""What the pages of a mesh's devices ask, and which devices a person may see."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Exists, OuterRef
from django.http import Http404
from django.shortcuts import get_object_or_404

from fleet.mesh.addresses import AddressError, parse_eui64
from fleet.models import InstallCode, Mesh, Node
from fleet.queries.install_codes import twins_of
from fleet.queries.intake import keep_limit_hours
from fleet.queries.mesh import RoomOfHouse, by_room, mesh_for
from fleet.snapshots.hearing import Heard, heard_by
from sites import access
from sites.models import Person


@dataclass(frozen=True, slots=True)
class DevicePage:
    """What a device's page shows beside the device. `parent`: its row where the parent is a device of the mesh."""

    heard: Heard
    parent: Node | None
    code: InstallCode | None
    twins: list[Node]


@dataclass(frozen=True, slots=True)
class DeviceList:
    """The devices of a mesh. Nodes carry `code_held` and `heard`; `gone` are those that no copy lists any more.

    is_stale: the newest sound copy is too old to say who is silent now.
    """

    rooms: list[RoomOfHouse]
    gone: list[Node]
    is_stale: bool

    @property
    def nodes(self) -> list[Node]:
        return [node for room in self.rooms for node in room.nodes]

    @property
    def codes_held(self) -> int:
        return sum(node.code_held for node in self.nodes)

    @property
    def silent(self) -> int:
        return sum(node.heard is Heard.SILENT for node in self.nodes)


def device_for(person: Person, code: str, address: str, today: date) -> Node:
    """One device with its mesh, home and client, by its EUI-64 in any notation; or Http404."""
    mesh = mesh_for(person, code, today)
    try:
        eui64 = parse_eui64(address)
    except AddressError:
        raise Http404 from None
    return get_object_or_404(mesh.nodes, extended_address=eui64)


def device_to_change(person: Person, code: str, address: str, today: date) -> Node:
    """The same to be changed; Http404 where it is not open, PermissionDenied where only to read."""
    node = device_for(person, code, address, today)
    access.require_change(person, today)
    return node


def page_of(node: Node, now: datetime) -> DevicePage:
    """The parts of a device's page, in a fixed number of statements."""
    code = InstallCode.objects.filter(node=node).select_related("node").first()
    return DevicePage(
        heard=_heard(node, _trusted(node.mesh, now)),
        parent=node.mesh.nodes.filter(extended_address=node.parent_address).first(),
        code=code,
        twins=[twin.node for twin in twins_of(code)] if code else [],
    )


def devices_of(mesh: Mesh, now: datetime) -> DeviceList:
    """All devices by room, those that guard people or the house first in each, in a fixed number of statements."""
    held = Exists(InstallCode.objects.filter(node=OuterRef("pk")))
    nodes = list(mesh.nodes.annotate(code_held=held).order_by("room", "label", "extended_address"))
    trusted = _trusted(mesh, now)
    for node in nodes:
        node.heard = _heard(node, trusted)
    listed = [node for node in nodes if node.gone_since is None]
    return DeviceList(
        rooms=by_room(sorted(listed, key=lambda node: (node.room, not node.safety_kind))),
        gone=[node for node in nodes if node.gone_since is not None],
        is_stale=mesh.newest_sound_at is not None and trusted is None,
    )


def _trusted(mesh: Mesh, now: datetime) -> datetime | None:
    """When the newest sound copy was taken; None where it is stale, and so says nothing of today."""
    taken_at = mesh.newest_sound_at
    limit = timedelta(hours=keep_limit_hours(mesh, now))
    return taken_at if taken_at and now - taken_at <= limit else None


def _heard(node: Node, trusted: datetime | None) -> Heard:
    return heard_by(node.last_heard, trusted, node.longest_silence_seconds)
