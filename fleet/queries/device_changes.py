"""What changed about each device between two copies, with the names that people know it by."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from fleet.models import Mesh, SafetyKind
from fleet.snapshots.comparing import Difference, NodeChange
from fleet.snapshots.facts import NodeFacts, SnapshotFacts

HEAD = "head radio"

_NUMBERS = re.compile(r"(\d+)")


class Happened(StrEnum):
    """In which way a device changed, from what matters most to what is normal."""

    APPEARED = "appeared"
    VANISHED = "vanished"
    KEY_CHANGED = "key_changed"
    KEY_MISSING = "key_missing"
    KEY_ADDED = "key_added"
    ROLE_CHANGED = "role_changed"
    REPARENTED = "reparented"
    READDRESSED = "readdressed"


HEADINGS = {
    Happened.APPEARED: "Joined",
    Happened.VANISHED: "Left",
    Happened.KEY_CHANGED: "Another link key",
    Happened.KEY_MISSING: "Link key no longer held",
    Happened.KEY_ADDED: "Link key held now",
    Happened.ROLE_CHANGED: "Another role",
    Happened.REPARENTED: "Another parent",
    Happened.READDRESSED: "Another short address",
}


@dataclass(frozen=True, slots=True)
class Device:
    """A device by its address. label, room: the book's own names, else the newer copy's, else the older's."""

    address: str
    label: str = ""
    room: str = ""
    safety: str = ""


@dataclass(frozen=True, slots=True)
class Side:
    """What stood in one of the two copies, fit to be shown. name: of the device that an address belongs to."""

    text: str
    name: str = ""


@dataclass(frozen=True, slots=True)
class DeviceChange:
    """One change of one device. before and after are None where there is nothing that may be shown."""

    device: Device
    before: Side | None = None
    after: Side | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """All devices that changed in one way, by room and name; those without a room, or a name, last."""

    happened: Happened
    changes: tuple[DeviceChange, ...]


Names = Callable[[str], Device]


def names_in(mesh: Mesh, old: SnapshotFacts, new: SnapshotFacts) -> Names:
    """From an address to the device, for everything that the book or one of the copies knows. One statement."""
    kinds = dict(SafetyKind.choices)
    rows = mesh.nodes.order_by().values_list("extended_address", "label", "room", "safety_kind")
    known = {
        address: Device(address, label, room, kinds.get(kind, "")) for address, label, room, kind in rows
    }
    for node in (*new.nodes, *old.nodes):
        known[node.extended_address] = _filled(known.get(node.extended_address), node)
    for facts in (new, old):
        known.setdefault(facts.head_address, Device(facts.head_address, HEAD))
    return lambda address: known.get(address) or Device(address)


def groups_of(found: Difference, name: Names) -> Iterator[Group]:
    """The changes by what happened; ways in which nothing changed are left out."""
    changes = {
        Happened.APPEARED: _plain(found.appeared, name),
        Happened.VANISHED: _plain(found.vanished, name),
        Happened.KEY_CHANGED: _plain(found.key_changed, name),
        Happened.KEY_MISSING: _plain(found.key_missing, name),
        Happened.KEY_ADDED: _plain(found.key_added, name),
        Happened.ROLE_CHANGED: _stepped(found.role_changed, name, lambda role: Side(role.replace("_", " "))),
        Happened.REPARENTED: _stepped(found.reparented, name, lambda shown: _parent(shown, name)),
        Happened.READDRESSED: _stepped(found.readdressed, name, Side),
    }
    for happened, rows in changes.items():
        if rows:
            yield Group(happened, tuple(sorted(rows, key=lambda row: _order(row.device))))


def _filled(known: Device | None, node: NodeFacts) -> Device:
    if known is None:
        return Device(node.extended_address, node.label, node.room)
    return replace(known, label=known.label or node.label, room=known.room or node.room)


def _plain(addresses: tuple[str, ...], name: Names) -> list[DeviceChange]:
    return [DeviceChange(name(address)) for address in addresses]


def _stepped(changes: tuple[NodeChange, ...], name: Names, say: Callable[[str], Side]) -> list[DeviceChange]:
    return [DeviceChange(name(each.address), say(each.before), say(each.after)) for each in changes]


def _parent(shown: str, name: Names) -> Side:
    return Side(shown, name(shown.replace(" ", "")).label)


def _order(device: Device) -> tuple[object, ...]:
    return (not device.room, _natural(device.room), not device.label, _natural(device.label), device.address)


def _natural(text: str) -> tuple[tuple[bool, int, str], ...]:
    """So that "lamp 2" stands before "lamp 10"."""
    parts = _NUMBERS.split(text.casefold())
    return tuple((part.isdecimal(), int(part) if part.isdecimal() else 0, part) for part in parts)
