"""Layouts put together by lot: a way to list nodes, a way to group the rest, a notation for each sort of value."""

from base64 import b64encode
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from random import Random
from typing import Any

from fleet.snapshots.facts import NodeFacts, Role, SnapshotFacts
from tests.fleet.snapshots.foreign import iso, octets, parted, reversed_hex, short_of

Writer = Callable[[Any], Any]

ADDRESSES: dict[str, Writer] = {
    "hex": lambda address: address,
    "prefix": lambda address: "0x" + address.lower(),
    "colons": parted,
    "dashes": lambda address: parted(address, "-").upper(),
    "reversed": reversed_hex,
    "reversed colons": lambda address: parted(reversed_hex(address)),
    "number": lambda address: int(address, 16),
    "decimal text": lambda address: str(int(address, 16)),
    "octets": octets,
    "reversed octets": lambda address: octets(reversed_hex(address)),
    "hex octets": lambda address: [f"{octet:02x}" for octet in octets(address)],
    "base64": lambda address: b64encode(bytes.fromhex(address)).decode(),
}
FIT_FOR_NAMES = ("hex", "prefix", "colons", "dashes", "reversed", "reversed colons", "decimal text")
KEYS: dict[str, Writer] = {
    "hex": lambda key: key.hex(),
    "colons": lambda key: key.hex(":").upper(),
    "octets": list,
    "typed array": lambda key: {str(place): octet for place, octet in enumerate(key)},
    "base64": lambda key: b64encode(key).decode(),
}
SHORTS: dict[str, Writer] = {
    "number": lambda short: short,
    "decimal text": str,
    "hex": lambda short: f"{short:04X}",
    "prefix": lambda short: f"0x{short:04x}",
}
COUNTERS: dict[str, Writer] = {
    "number": lambda counter: counter,
    "decimal text": str,
    "hex": lambda counter: f"{counter:08X}",
    "prefix": hex,
    "grouped": lambda counter: f"{counter:,}",
}
TIMES: dict[str, Writer] = {
    "zulu": iso,
    "offset": lambda moment: moment.astimezone(timezone(timedelta(hours=1))).isoformat(),
    "blank": lambda moment: moment.strftime("%Y-%m-%d %H:%M:%S"),
    "seconds": lambda moment: int(moment.timestamp()),
    "seconds text": lambda moment: str(int(moment.timestamp())),
    "milliseconds": lambda moment: int(moment.timestamp() * 1000),
    "microseconds": lambda moment: int(moment.timestamp()) * 1_000_000,
}
CHANNELS: dict[str, Writer] = {
    "number": lambda channel: channel,
    "text": str,
    "megahertz": lambda channel: 2405 + 5 * (channel - 11),
}
FORMS = ("list", "keyed", "named", "columns", "heading", "rows", "rooms", "split", "tree")
GROUPS = ("grouped", "deep", "named values", "sections")
PARENTS = ("address", "short", "edges", "children")
HEADS = ("outside", "listed", "both")


@dataclass(frozen=True, slots=True)
class Mix:
    """What was drawn, for the name of the test, and the document."""

    what: str
    document: Any


def mix(facts: SnapshotFacts, seed: int) -> Mix:
    """One layout, drawn from the seed, with the facts in it."""
    return _Mixer(facts, Random(seed)).mixed()


class _Mixer:
    def __init__(self, facts: SnapshotFacts, chance: Random) -> None:
        self.facts, self.chance = facts, chance
        self.form, self.group = chance.choice(FORMS), chance.choice(GROUPS)
        self.parent, self.head = chance.choice(PARENTS), chance.choice(HEADS)
        if self.form == "tree":
            self.parent, self.head = "place", "outside"
        elif self.form in ("columns", "heading", "rows", "split", "rooms") and self.parent == "children":
            self.parent = "address"
        if self.form in ("split", "rooms"):
            self.head = "outside"
        if self.parent == "children":
            self.head = "listed"
        names = FIT_FOR_NAMES if self.form == "keyed" else tuple(ADDRESSES)
        self.drawn = {
            "address": chance.choice(names),
            "key": chance.choice(tuple(KEYS)),
            "short": chance.choice(tuple(SHORTS)),
            "counter": chance.choice(tuple(COUNTERS)),
            "time": chance.choice(tuple(TIMES)),
            "channel": chance.choice(tuple(CHANNELS)),
        }
        self.address, self.key = ADDRESSES[self.drawn["address"]], KEYS[self.drawn["key"]]
        self.short, self.counter = SHORTS[self.drawn["short"]], COUNTERS[self.drawn["counter"]]
        self.time, self.channel = TIMES[self.drawn["time"]], CHANNELS[self.drawn["channel"]]

    def mixed(self) -> Mix:
        what = f"{self.form}, {self.group}, parents by {self.parent}, head {self.head}, {self.drawn}"
        document = self.grouped(self.nodes())
        if self.parent == "edges":
            document["links"] = [
                {"node": self.address(node.extended_address), "up": self.address(node.parent)}
                for node in self.facts.nodes
            ]
        document["neighbours"] = [
            {"address": self.address(node.extended_address), "quality": self.chance.randrange(256)}
            for node in self.facts.nodes[::3]
        ]
        names = list(document)
        self.chance.shuffle(names)
        return Mix(what, {name: document[name] for name in names})

    def grouped(self, nodes: Any) -> dict[str, Any]:
        facts = self.facts
        own = (
            {}
            if self.form == "tree" or self.head == "listed"
            else {"own address": self.address(facts.head_address)}
        )
        air = {
            "extended pan id": self.address(facts.extended_pan_id),
            "pan id": self.short(facts.pan_id),
            "channel": self.channel(facts.channel),
        }
        safe = {
            "network key": self.key(facts.network_key),
            "key sequence": facts.key_sequence,
            "frame counter": self.counter(facts.outgoing_counter),
        }
        about = {"saved": self.time(facts.taken_at), "tool": "1.4.2", "baud": 115200}
        if self.group == "deep":
            return {
                "state": {"info": about, "radio": {"me": own, "net": {**air, "safe": safe}}},
                "nodes": nodes,
            }
        if self.group == "named values":
            values = [
                {"name": name, "value": value} for name, value in {**about, **own, **air, **safe}.items()
            ]
            return {"values": values, "nodes": nodes}
        if self.group == "sections":
            parts = {"about": about, "radio": {**own, **air}, "security": safe, "nodes": nodes}
            return {"sections": [{"kind": kind, "data": data} for kind, data in parts.items()]}
        return {"about": about, "me": own, "net": air, "safe": safe, "nodes": nodes}

    def nodes(self) -> Any:
        rows = [self.row(node.extended_address, node.short_address, node) for node in self.facts.nodes]
        if self.head != "outside":
            rows.insert(self.chance.randrange(3), self.row(self.facts.head_address, 0, None))
        if self.form == "keyed":
            return {row.pop("address"): row for row in rows}
        if self.form == "named":
            return {f"thing {number}": row for number, row in enumerate(rows)}
        if self.form == "columns":
            return {name: [row[name] for row in rows] for name in rows[0]}
        if self.form in ("heading", "rows"):
            heading = [list(rows[0])] if self.form == "heading" else []
            return [*heading, *(list(row.values()) for row in rows)]
        if self.form == "rooms":
            return [
                {"room": room, "devices": rows[start::3]}
                for start, room in enumerate(("Hall", "Loft", "Yard"))
            ]
        if self.form == "split":
            return {
                "routers": self.of_role(rows, Role.ROUTER),
                "sleepers": self.of_role(rows, Role.END_DEVICE),
            }
        if self.form == "tree":
            top = {"address": self.address(self.facts.head_address), "short": self.short(0)}
            return {**top, "children": self.below(self.facts.head_address)}
        return rows

    def of_role(self, rows: Sequence[Any], role: Role) -> list[Any]:
        return [row for row, node in zip(rows, self.facts.nodes, strict=True) if node.role is role]

    def below(self, parent: str) -> list[Any]:
        return [
            {
                **self.row(node.extended_address, node.short_address, node),
                "children": self.below(node.extended_address),
            }
            for node in self.facts.nodes
            if node.parent == parent
        ]

    def row(self, address: str, short: int | None, node: NodeFacts | None) -> dict[str, Any]:
        row = {
            "address": self.address(address),
            "short": self.short(short),
            "key": None if node is None else self.key(node.link_key),
            "heard": None if node is None else self.time(self.moment(node)),
            "quality": self.chance.randrange(256),
            "model": self.chance.choice(("AB-1", "CD-2", "EF-3")),
        }
        if self.parent == "address":
            row["parent"] = None if node is None else self.address(node.parent)
        if self.parent == "short":
            row["parent"] = None if node is None else self.short(short_of(self.facts, node.parent))
        if self.parent == "children":
            row["children"] = [
                self.address(other.extended_address) for other in self.facts.nodes if other.parent == address
            ]
        return row

    def moment(self, node: NodeFacts) -> datetime:
        assert node.last_heard is not None
        return node.last_heard
