"""Snapshot documents for tests, in the book's own layout. Keys are made here and stand nowhere else."""

from dataclasses import replace
from datetime import datetime, timedelta
from hashlib import sha256

from fleet.models import Mesh
from fleet.snapshots import own_layout
from fleet.snapshots.facts import LinkKeyKind, NodeFacts, Power, Role, SecurityMode, SnapshotFacts, TableUse
from tests import make

NODES = 12


def key(name: str) -> bytes:
    """A key that looks random, the same for the same name."""
    return sha256(f"test key {name}".encode()).digest()[:16]


def nodes(count: int = NODES, taken_at: datetime = make.NOW, first: int = 0x1000) -> tuple[NodeFacts, ...]:
    """Routers and sleepers in turn, each with a link key of its own, all heard an hour before."""
    return tuple(
        NodeFacts(
            extended_address=f"02BEEF00{first + place:08X}",
            short_address=0x2000 + place,
            role=Role.ROUTER if place % 3 == 0 else Role.END_DEVICE,
            power=Power.MAINS if place % 3 == 0 else Power.BATTERY,
            sleeps=place % 3 != 0,
            link_key_kind=LinkKeyKind.UNIQUE,
            link_key=key(f"link {first + place}"),
            longest_silence_seconds=3600,
            label=f"thing {place}",
            room="hall" if place % 2 else "kitchen",
            last_heard=taken_at - timedelta(minutes=30),
        )
        for place in range(count)
    )


def facts(mesh: Mesh, taken_at: datetime = make.NOW, **given: object) -> SnapshotFacts:
    """What a good copy of this mesh says; name what should differ."""
    count = len(given["nodes"]) if "nodes" in given else NODES  # type: ignore[arg-type]
    usual = SnapshotFacts(
        head_address=mesh.head_address or "02A4C138F00D0001",
        extended_pan_id=mesh.extended_pan_id or "02D1CE00F00D0001",
        pan_id=mesh.pan_id or 0x1A2B,
        channel=mesh.channel or 20,
        network_key=key(mesh.code),
        key_sequence=0,
        outgoing_counter=1_463_120,
        taken_at=taken_at,
        power_dbm=8,
        security_level=5,
        security_mode=SecurityMode.CENTRAL,
        stack_revision=22,
        tables=TableUse(children=count, neighbours=8, routes=8, source_routes=8, link_keys=count, bindings=2),
        nodes=nodes(taken_at=taken_at),
    )
    return replace(usual, **given)


def document(mesh: Mesh, taken_at: datetime = make.NOW, **given: object) -> bytes:
    """The same as octets."""
    return own_layout.write(facts(mesh, taken_at, **given))
