"""The layouts: how each writes the truth down."""

from typing import Any

from fleet.snapshots.facts import Role, SnapshotFacts
from tests.fleet.snapshots.foreign import (
    MESH,
    NODE,
    Layout,
    iso,
    key_base64,
    key_hex,
    milliseconds,
    octets,
    parted,
    reversed_hex,
    seconds,
    short_of,
)


def deep(facts: SnapshotFacts) -> Any:
    """Objects in objects, hex with prefixes, parents by address, the counter as text."""
    return {
        "about": {"tool": "x", "rev": 3, "when": iso(facts.taken_at)},
        "radio": {
            "id": {"long": "0x" + facts.head_address.lower(), "near": "0x0000"},
            "air": {"slot": facts.channel, "allowed": f"0x{facts.channel_mask:08x}"},
            "net": {"wide": "0x" + facts.extended_pan_id.lower(), "narrow": f"0x{facts.pan_id:04x}"},
            "safe": {
                "secret": key_hex(facts.network_key),
                "turn": facts.key_sequence,
                "sent": str(facts.outgoing_counter),
            },
        },
        "things": {
            "known": [
                {
                    "who": {
                        "long": "0x" + node.extended_address.lower(),
                        "near": f"0x{node.short_address:04x}",
                    },
                    "above": "0x" + str(node.parent).lower(),
                    "pact": {"secret": key_hex(node.link_key)},
                    "seen": iso(node.last_heard),
                }
                for node in facts.nodes
            ]
        },
    }


def turned(facts: SnapshotFacts) -> Any:
    """Octets the other way round in plain hex, keys as lists of octets, shorts as numbers, epoch milliseconds."""
    return {
        "owner": reversed_hex(facts.head_address),
        "family": reversed_hex(facts.extended_pan_id),
        "pan": facts.pan_id,
        "band": str(facts.channel),
        "stamp": milliseconds(facts.taken_at),
        "lock": {"bytes": list(facts.network_key), "no": facts.key_sequence, "count": facts.outgoing_counter},
        "entries": [
            {
                "wide": reversed_hex(node.extended_address),
                "brief": node.short_address,
                "up": reversed_hex(str(node.parent)),
                "bytes": list(node.link_key or b""),
                "at": milliseconds(node.last_heard),
            }
            for node in facts.nodes
        ],
    }


def keyed(facts: SnapshotFacts) -> Any:
    """Nodes in an object named by their addresses, parents by short address, base64 keys."""
    return {
        "version": "4.1",
        "main": {
            "eui": parted(facts.head_address),
            "group": parted(facts.extended_pan_id),
            "pid": f"{facts.pan_id:04X}",
            "ch": facts.channel,
            "channels": [channel for channel in range(32) if (facts.channel_mask or 0) >> channel & 1],
        },
        "crypt": [
            {
                "k": key_base64(facts.network_key),
                "ix": facts.key_sequence,
                "live": True,
                "tx": f"{facts.outgoing_counter:08X}",
            }
        ],
        "members": {
            parted(node.extended_address): {
                "addr": f"{node.short_address:04X}",
                "via": f"{short_of(facts, node.parent):04X}",
                "lk": key_base64(node.link_key),
                "kind": "router" if node.role is Role.ROUTER else "end device",
                "name": node.label,
            }
            for node in facts.nodes
        },
        "written": seconds(facts.taken_at),
    }


def decimal(facts: SnapshotFacts) -> Any:
    """All addresses as whole numbers, the head among the nodes with short address 0, epoch seconds."""
    head = {"mac": int(facts.head_address, 16), "nwk": 0, "lvl": 0, "link": None, "par": None}
    rows = [
        {
            "mac": int(node.extended_address, 16),
            "nwk": node.short_address,
            "lvl": 1,
            "link": key_hex(node.link_key).upper(),
            "par": int(str(node.parent), 16),
        }
        for node in facts.nodes
    ]
    return {
        "t": seconds(facts.taken_at),
        "cfg": {
            "epid": int(facts.extended_pan_id, 16),
            "pan": facts.pan_id,
            "chan": facts.channel,
            "mask": facts.channel_mask,
            "key": key_hex(facts.network_key).upper(),
            "seq": facts.key_sequence,
            "fc": facts.outgoing_counter,
        },
        "table": [*rows[:5], head, *rows[5:]],
    }


def columns(facts: SnapshotFacts) -> Any:
    """One list for each fact, side by side; octet lists everywhere."""
    return {
        "self": octets(facts.head_address),
        "pan64": octets(facts.extended_pan_id),
        "pan16": f"{facts.pan_id:#06x}",
        "mhz": 2405 + 5 * (facts.channel - 11),
        "key": {
            "octets": list(facts.network_key),
            "epoch": facts.key_sequence,
            "used": facts.outgoing_counter,
        },
        "at": iso(facts.taken_at),
        "devices": {
            "address": [octets(node.extended_address) for node in facts.nodes],
            "short": [f"{node.short_address:#06x}" for node in facts.nodes],
            "parent": [octets(str(node.parent)) for node in facts.nodes],
            "key": [list(node.link_key or b"") for node in facts.nodes],
        },
    }


def rows(facts: SnapshotFacts) -> Any:
    """A table with a heading, and named values in a list."""
    return {
        "settings": [
            {"name": "own address", "value": facts.head_address},
            {"name": "extended pan id", "value": facts.extended_pan_id},
            {"name": "pan id", "value": f"{facts.pan_id:04X}"},
            {"name": "channel", "value": str(facts.channel)},
            {"name": "network key", "value": key_hex(facts.network_key)},
            {"name": "key sequence", "value": str(facts.key_sequence)},
            {"name": "frame counter", "value": str(facts.outgoing_counter)},
            {"name": "saved at", "value": iso(facts.taken_at)},
        ],
        "table": [
            ["address", "short", "parent", "link key", "last heard"],
            *(
                [
                    node.extended_address,
                    f"{node.short_address:04X}",
                    node.parent,
                    key_hex(node.link_key),
                    iso(node.last_heard),
                ]
                for node in facts.nodes
            ),
        ],
    }


def rivals(facts: SnapshotFacts) -> Any:
    """Several lists of addresses beside the nodes: neighbours, groups, bindings, routes; keys apart."""
    some = facts.nodes[::3]
    return {
        "neighbours": [
            {"a": node.extended_address, "lqi": 40 + 3 * place, "age": place % 4}
            for place, node in enumerate(some)
        ],
        "groups": [
            {"id": 257 + place, "members": [node.extended_address for node in facts.nodes[place : place + 6]]}
            for place in range(3)
        ],
        "bindings": [
            {
                "from": facts.nodes[place % len(facts.nodes[:4])].extended_address,
                "to": facts.head_address,
                "cluster": 6,
            }
            for place in range(9)
        ],
        "routes": [{"to": node.short_address, "hop": some[0].short_address} for node in facts.nodes[4:]],
        "secrets": [
            {"partner": node.extended_address, "value": key_hex(node.link_key)} for node in facts.nodes
        ],
        "mesh": {
            "coordinator": facts.head_address,
            "xpan": facts.extended_pan_id,
            "pan": f"{facts.pan_id:04X}",
            "channel": facts.channel,
            "security": {
                "key": key_hex(facts.network_key),
                "number": facts.key_sequence,
                "counter": facts.outgoing_counter,
                "previous": "00000000000000000000000000000000",
            },
        },
        "nodes": [
            {
                "a": node.extended_address,
                "s": f"{node.short_address:04X}",
                "parent": (short_of(facts, node.parent) and f"{short_of(facts, node.parent):04X}") or "0000",
                "type": 1 if node.role is Role.ROUTER else 2,
            }
            for node in facts.nodes
        ],
        "saved": iso(facts.taken_at),
    }


def tree(facts: SnapshotFacts) -> Any:
    """Children inside their parents, the head at the top."""

    def below(address: str) -> list[Any]:
        return [
            {
                "ieee": node.extended_address,
                "net": f"0x{node.short_address:04X}",
                "key": key_hex(node.link_key),
                "children": below(node.extended_address),
            }
            for node in facts.nodes
            if node.parent == address
        ]

    return {
        "time": iso(facts.taken_at),
        "network": {
            "xpanid": facts.extended_pan_id,
            "panid": f"0x{facts.pan_id:04X}",
            "channel": facts.channel,
            "key": key_hex(facts.network_key),
            "keyno": facts.key_sequence,
            "frames": facts.outgoing_counter,
        },
        "root": {"ieee": facts.head_address, "net": "0x0000", "children": below(facts.head_address)},
    }


def split(facts: SnapshotFacts) -> Any:
    """Routers and sleepers in lists of their own; an older network key beside the one in use."""

    def listed(role: Role) -> list[Any]:
        return [
            {
                "wide": node.extended_address,
                "narrow": node.short_address,
                "parent": node.parent,
                "key": key_base64(node.link_key),
            }
            for node in facts.nodes
            if node.role is role
        ]

    return {
        "epid": facts.extended_pan_id,
        "own": facts.head_address,
        "pan": facts.pan_id,
        "channel": facts.channel,
        "keys": [
            {"secret": key_base64(facts.network_key[::-1]), "no": facts.key_sequence - 1, "active": False},
            {"secret": key_base64(facts.network_key), "no": facts.key_sequence, "active": True},
        ],
        "out": facts.outgoing_counter,
        "routers": listed(Role.ROUTER),
        "sleepers": listed(Role.END_DEVICE),
        "when": milliseconds(facts.taken_at),
    }


def rooms(facts: SnapshotFacts) -> Any:
    """Nodes by room, decimal text everywhere, numbers with separators."""
    return {
        "saved": str(seconds(facts.taken_at)),
        "air": {
            "pan": str(facts.pan_id),
            "channel": str(facts.channel),
            "epid": str(int(facts.extended_pan_id, 16)),
        },
        "me": {"ieee": str(int(facts.head_address, 16))},
        "security": {
            "net": key_hex(facts.network_key),
            "seq": str(facts.key_sequence),
            "frames": f"{facts.outgoing_counter:,}",
        },
        "house": [
            {
                "room": room,
                "devices": [
                    {
                        "ieee": str(int(node.extended_address, 16)),
                        "nwk": str(node.short_address),
                        "parent": str(int(str(node.parent), 16)),
                        "link": key_hex(node.link_key),
                    }
                    for node in facts.nodes[start::4]
                ],
            }
            for start, room in enumerate(("Hall", "Kitchen", "Loft", "Store"))
        ],
    }


LAYOUTS = (
    Layout("deep", deep, MESH | {"key_sequence", "taken_at", "channel_mask"}, NODE | {"last_heard"}),
    Layout("turned", turned, MESH | {"key_sequence", "taken_at"}, NODE | {"last_heard"}),
    Layout("keyed", keyed, MESH | {"key_sequence", "taken_at", "channel_mask"}, NODE | {"role", "label"}),
    Layout("decimal", decimal, MESH | {"key_sequence", "taken_at", "channel_mask"}, NODE),
    Layout("columns", columns, MESH | {"key_sequence", "taken_at"}, NODE),
    Layout("rows", rows, MESH | {"key_sequence", "taken_at"}, NODE | {"last_heard"}),
    Layout("rivals", rivals, MESH | {"key_sequence", "taken_at"}, NODE | {"role"}),
    Layout("tree", tree, MESH | {"key_sequence", "taken_at"}, NODE),
    Layout("split", split, MESH | {"key_sequence", "taken_at"}, NODE),
    Layout("rooms", rooms, MESH | {"key_sequence", "taken_at"}, NODE),
)
