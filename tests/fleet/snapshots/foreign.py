"""Invented foreign layouts, and the truth that each of them tells.

No layout imitates a program: each puts one way of nesting and some notations together. Everything is drawn
from a seed, so that a test names its document by seed and layout.
"""

from base64 import b64encode
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from random import Random
from typing import Any

from fleet.snapshots.facts import NodeFacts, Role, SnapshotFacts

MESH = frozenset({"head_address", "extended_pan_id", "pan_id", "channel", "network_key", "outgoing_counter"})
NODE = frozenset({"extended_address", "short_address", "parent", "link_key"})
_MAKERS = ("02A4C1", "024F1B", "02D9E6")


@dataclass(frozen=True, slots=True)
class Layout:
    """write: truth -> document. mesh, node: the facts that a reader must find again."""

    name: str
    write: Callable[[SnapshotFacts], Any]
    mesh: frozenset[str]
    node: frozenset[str]


def truth(seed: int, size: int = 24) -> SnapshotFacts:
    """A mesh with a router in every three nodes, each node below the head or an earlier router."""
    chance = Random(seed)
    head = "02C3D4" + chance.randbytes(5).hex().upper()
    taken = datetime(2026, 11, 25, 3, 0, tzinfo=UTC) + timedelta(seconds=chance.randrange(10**6))
    nodes = _nodes(chance, head, size, taken)
    channel = chance.randrange(11, 27)
    return SnapshotFacts(
        head_address=head,
        extended_pan_id=chance.randbytes(8).hex().upper(),
        pan_id=chance.randrange(0x1000, 0xFFF0),
        channel=channel,
        network_key=chance.randbytes(16),
        key_sequence=chance.randrange(1, 5),
        outgoing_counter=chance.randrange(300_000, 40_000_000),
        taken_at=taken,
        channel_mask=1 << channel | 0x02108800,
        update_id=chance.randrange(6, 250),
        nodes=nodes,
    )


def _nodes(chance: Random, head: str, size: int, taken: datetime) -> tuple[NodeFacts, ...]:
    shorts = chance.sample(range(0x0100, 0xFFF0), size)
    nodes: list[NodeFacts] = []
    routers: list[str] = []
    for number, short in enumerate(shorts):
        address = chance.choice(_MAKERS) + chance.randbytes(5).hex().upper()
        is_router = number % 3 == 0
        parent = chance.choice([head, *routers]) if routers else head
        nodes.append(
            NodeFacts(
                extended_address=address,
                short_address=short,
                role=Role.ROUTER if is_router else Role.END_DEVICE,
                parent=parent,
                sleeps=not is_router,
                link_key=chance.randbytes(16),
                outgoing_counter=chance.randrange(1_000, 900_000),
                incoming_counter=chance.randrange(1_000, 900_000),
                last_heard=taken - timedelta(seconds=chance.randrange(60, 80_000)),
                label=f"{chance.choice(('lamp', 'plug', 'valve', 'door'))} {number + 1}",
            )
        )
        if is_router:
            routers.append(address)
    return tuple(nodes)


def reversed_hex(address: str) -> str:
    """As it runs over the air."""
    return bytes.fromhex(address)[::-1].hex().upper()


def octets(address: str) -> list[int]:
    """A list of octets in order."""
    return list(bytes.fromhex(address))


def parted(address: str, separator: str = ":") -> str:
    """Octet by octet, small letters."""
    return bytes.fromhex(address).hex(separator)


def short_of(facts: SnapshotFacts, address: str | None) -> int | None:
    """The short address of a node or of the head."""
    if address is None or address == facts.head_address:
        return None if address is None else 0
    return next(node.short_address for node in facts.nodes if node.extended_address == address)


def milliseconds(moment: datetime | None) -> int:
    """Since 1970."""
    assert moment is not None
    return round(moment.timestamp() * 1000)


def seconds(moment: datetime | None) -> int:
    """Since 1970."""
    assert moment is not None
    return int(moment.timestamp())


def iso(moment: datetime | None) -> str:
    """With a Z."""
    assert moment is not None
    return moment.isoformat().replace("+00:00", "Z")


def key_hex(key: bytes | None) -> str:
    """Small letters."""
    assert key is not None
    return key.hex()


def key_base64(key: bytes | None) -> str:
    """With its padding."""
    assert key is not None
    return b64encode(key).decode()
