"""Documents in our own layout for the tests of this room: plain dictionaries, the same for the same seed.

Made without the code under test. A quiet day changes what a quiet mesh changes: counters and times.
"""

import copy
import json
import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

TAKEN = datetime(2026, 11, 25, 3, 0, tzinfo=UTC)
DAY = timedelta(days=1)

_THINGS = ("Lamp", "Door contact", "Thermostat", "Plug", "Leak sensor", "Motion", "Blind")
_ROOMS = ("Hall", "Kitchen", "Bath", "Attic", "Cellar", "Porch", "Sæther's room")


def document(seed: int = 1, nodes: int = 12) -> dict[str, Any]:
    """A good document: nothing in it deserves more than a note."""
    draw = random.Random(seed)
    head = f"02A4C138{draw.getrandbits(32):08X}"
    rows = list(_nodes(draw, nodes, head))
    return {
        "sparebook": {"layout": "mesh-snapshot", "version": 1},
        "taken": stamp(TAKEN),
        "writer": {"name": "collector", "version": "1.0"},
        "identity": {
            "extendedPanId": f"02D1CE{draw.getrandbits(40):010X}",
            "panId": f"{draw.randrange(1, 0xFFFF):04X}",
            "headAddress": head,
            "headShort": "0000",
            "updateId": draw.randrange(256),
        },
        "air": {"page": 0, "channel": draw.randrange(11, 27), "mask": "07FFF800", "powerDbm": 8},
        "security": {
            "level": 5,
            "mode": "central",
            "networkKey": f"{draw.getrandbits(128):032X}",
            "keySequence": draw.randrange(256),
            "outgoingCounter": draw.randrange(1_000, 2_000_000_000),
        },
        "stack": {"profile": 2, "revision": 22, "firmware": "7.4.1"},
        "tables": {"children": 9, "neighbours": 16, "routes": 12, "sourceRoutes": 30, "linkKeys": nodes},
        "nodes": rows,
    }


def next_day(before: dict[str, Any], seed: int, share_heard: float = 1.0) -> dict[str, Any]:
    """The document a day later. share_heard: share of nodes that spoke since, 0 to 1."""
    draw = random.Random(seed)
    later = copy.deepcopy(before)
    taken = datetime.fromisoformat(before["taken"]) + DAY
    later["taken"] = stamp(taken)
    later["security"]["outgoingCounter"] += draw.randrange(20_000, 90_000)
    for node in later["nodes"]:
        if draw.random() < share_heard:
            node["link"]["incomingCounter"] += draw.randrange(20, 400)
            node["link"]["outgoingCounter"] += draw.randrange(1, 30) if draw.random() < 0.2 else 0
            node["lastHeard"] = _heard(draw, taken, node["role"])
    return later


def octets(value: dict[str, Any]) -> bytes:
    """Without blanks, as most programs push it."""
    return json.dumps(value, separators=(",", ":"), ensure_ascii=False).encode()


def stamp(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")


def _nodes(draw: random.Random, count: int, head: str) -> Iterator[dict[str, Any]]:
    shorts = draw.sample(range(1, 0xFFF8), count)
    routers = [head]
    for number, short in enumerate(shorts):
        role = "router" if draw.random() < 0.35 else "end_device"
        address = f"{draw.choice(('02A4C138', '02B0F1EE', '02C3D700'))}{draw.getrandbits(32):08X}"
        yield {
            "address": address,
            "short": f"{short:04X}",
            "role": role,
            "parent": None if role == "router" else draw.choice(routers),
            "power": "mains" if role == "router" else "battery",
            "sleeps": role != "router",
            "link": {
                "kind": "unique",
                "key": f"{draw.getrandbits(128):032X}",
                "outgoingCounter": draw.randrange(100, 90_000),
                "incomingCounter": draw.randrange(1_000, 900_000),
            },
            "longestSilenceSeconds": 300 if role == "router" else 3600,
            "label": f"{draw.choice(_THINGS)} {number + 1}",
            "room": draw.choice(_ROOMS),
            "lastHeard": _heard(draw, TAKEN, role),
        }
        if role == "router":
            routers.append(address)


def _heard(draw: random.Random, taken: datetime, role: str) -> str:
    return stamp(taken - timedelta(seconds=draw.randrange(60 if role == "router" else 3600)))
