"""Our own documented layout of a snapshot: read strictly, written steadily.

The layout is described field by field in own_layout.schema.json (JSON Schema 2020-12).
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import fields, make_dataclass
from datetime import UTC, datetime
from importlib.resources import files
from typing import Any

import orjson

from fleet.snapshots.decoding import Problem, ReadError
from fleet.snapshots.facts import (
    LinkKeyKind,
    NodeFacts,
    Power,
    Role,
    SecurityMode,
    SnapshotFacts,
    TableUse,
)
from fleet.snapshots.layout_problems import LayoutSchema

LAYOUT = "mesh-snapshot"
VERSION = 1
COUNTER_PATH = ("security", "outgoingCounter")
"""Where the number stands that writing back advances."""

SCHEMA = LayoutSchema(json.loads(files(__package__).joinpath("own_layout.schema.json").read_text("utf-8")))
_SEPARATORS = str.maketrans("", "", ":. -")
_ROLES = {role.value: role for role in Role}
_POWERS: dict[str | None, Power | None] = {None: None, **{power.value: power for power in Power}}
_KINDS: dict[str | None, LinkKeyKind | None] = {None: None, **{kind.value: kind for kind in LinkKeyKind}}
_MODES = {mode.value: mode for mode in SecurityMode}
_TABLES = {
    "children": "children",
    "neighbours": "neighbours",
    "routes": "routes",
    "sourceRoutes": "source_routes",
    "linkKeys": "link_keys",
    "bindings": "bindings",
    "groups": "groups",
}
_NOTHING: Mapping[str, Any] = {}

# Filling a frozen dataclass costs five times as much as filling an open one, field by field. An open twin with
# the same slots is filled instead and then declared to be the real thing: a fifth of the whole reading.
_OpenNode = make_dataclass("_OpenNode", [(each.name, Any) for each in fields(NodeFacts)], slots=True)


class WriteError(ValueError):
    """Facts that our own layout cannot hold; the message names the fact and what would be right."""


def recognises(document: object) -> bool:
    """True where the document carries our layout's mark, of whatever version."""
    mark = document.get("sparebook") if isinstance(document, dict) else None
    return isinstance(mark, dict) and mark.get("layout") == LAYOUT


def read(document: object) -> SnapshotFacts:
    """A decoded document in our own layout -> what it says. Raises ReadError naming every wrong field."""
    if not isinstance(document, dict) or not SCHEMA.fits(document):
        raise ReadError(SCHEMA.problems(document))
    try:
        return _facts(document)
    except (ValueError, OverflowError):
        # The schema holds the form of a time; that the day and hour exist shows only on reading it.
        bad_times = tuple(_bad_times(document))
    raise ReadError(bad_times)


def _facts(document: dict[str, Any]) -> SnapshotFacts:
    identity, air, security = document["identity"], document["air"], document["security"]
    stack, writer = document.get("stack", _NOTHING), document.get("writer", _NOTHING)
    return SnapshotFacts(
        head_address=_address(identity["headAddress"]),
        extended_pan_id=_address(identity["extendedPanId"]),
        pan_id=int(identity["panId"], 16),
        channel=int(air["channel"]),
        network_key=_key(security["networkKey"]),
        key_sequence=int(security["keySequence"]),
        outgoing_counter=int(security["outgoingCounter"]),
        taken_at=_time(document["taken"]),
        head_short_address=int(identity.get("headShort", "0000"), 16),
        channel_page=int(air.get("page", 0)),
        channel_mask=int(air["mask"], 16) if "mask" in air else None,
        update_id=_whole(identity.get("updateId")),
        power_dbm=_whole(air.get("powerDbm")),
        security_level=_whole(security.get("level")),
        security_mode=_MODES[security["mode"]] if "mode" in security else None,
        link_key_seed=_key(security["linkKeySeed"]) if "linkKeySeed" in security else None,
        stack_profile=_whole(stack.get("profile")),
        stack_revision=_whole(stack.get("revision")),
        firmware=stack.get("firmware", ""),
        writer=f"{writer.get('name', '')} {writer.get('version', '')}".strip(),
        nodes=_nodes(document["nodes"]),
        tables=TableUse(
            **{_TABLES[name]: int(use) for name, use in document.get("tables", _NOTHING).items()}
        ),
    )


def _nodes(rows: list[dict[str, Any]]) -> tuple[NodeFacts, ...]:
    # This runs for every node of every snapshot that arrives, so it is one loop without calls where it can be.
    nodes = []
    for row in rows:
        get = row.get
        link = get("link", _NOTHING).get
        short, parent, key, heard = get("short"), get("parent"), link("key"), get("lastHeard")
        node: Any = _OpenNode(
            _address(row["address"]),
            None if short is None else int(short, 16),
            _ROLES[row["role"]],
            None if parent is None else _address(parent),
            _POWERS[get("power")],
            get("sleeps"),
            _KINDS[link("kind")],
            None if key is None else _key(key),
            _whole(link("outgoingCounter")),
            _whole(link("incomingCounter")),
            _whole(get("longestSilenceSeconds")),
            get("label", ""),
            get("room", ""),
            None if heard is None else _time(heard),
        )
        node.__class__ = NodeFacts
        nodes.append(node)
    return tuple(nodes)


def _address(text: str) -> str:
    return text.upper() if len(text) == 16 else text.translate(_SEPARATORS).upper()


def _key(text: str) -> bytes:
    return bytes.fromhex(text if len(text) == 32 else text.translate(_SEPARATORS))


def _whole(value: int | float | None) -> int | None:
    """15.0 is an integer to JSON Schema, so it is made one."""
    return value if value is None or value.__class__ is int else int(value)


def _time(text: str) -> datetime:
    moment = datetime.fromisoformat(text)
    return moment if moment.tzinfo is UTC else moment.astimezone(UTC)


def _bad_times(document: dict[str, Any]) -> Iterator[Problem]:
    """The schema holds the form of a time; that the day and hour exist shows only on reading it."""
    times = [("$.taken", document["taken"])]
    for number, node in enumerate(document["nodes"]):
        times.append((f"$.nodes[{number}].lastHeard", node.get("lastHeard", document["taken"])))
    for path, text in times:
        try:
            _time(text)
        except (ValueError, OverflowError):
            yield Problem(path, text, "a day and time that exist")


def write(facts: SnapshotFacts) -> bytes:
    """Facts -> the same bytes for the same facts, in our own layout, UTF-8 without blanks.

    Raises WriteError where a fact is missing that the layout requires.
    """
    if facts.taken_at is None:
        raise WriteError("taken_at is missing: the layout requires the time at which the head was read")
    name, _, version = facts.writer.rpartition(" ")
    return orjson.dumps(
        _stated(
            sparebook={"layout": LAYOUT, "version": VERSION},
            taken=_written_time(facts.taken_at),
            writer=_stated(name=name, version=version) if name else _stated(name=version),
            identity=_identity(facts),
            air=_air(facts),
            security=_security(facts),
            stack=_stated(
                profile=facts.stack_profile, revision=facts.stack_revision, firmware=facts.firmware
            ),
            tables=_stated(**{word: getattr(facts.tables, slot) for word, slot in _TABLES.items()}),
        )
        | {"nodes": [_written_node(node) for node in facts.nodes]}
    )


def _identity(facts: SnapshotFacts) -> dict[str, Any]:
    return _stated(
        extendedPanId=facts.extended_pan_id,
        panId=f"{facts.pan_id:04X}",
        headAddress=facts.head_address,
        headShort=f"{facts.head_short_address:04X}",
        updateId=facts.update_id,
    )


def _air(facts: SnapshotFacts) -> dict[str, Any]:
    return _stated(
        page=facts.channel_page,
        channel=facts.channel,
        mask=None if facts.channel_mask is None else f"{facts.channel_mask:08X}",
        powerDbm=facts.power_dbm,
    )


def _security(facts: SnapshotFacts) -> dict[str, Any]:
    return _stated(
        level=facts.security_level,
        mode=facts.security_mode,
        networkKey=_written_key(facts.network_key),
        keySequence=facts.key_sequence,
        outgoingCounter=facts.outgoing_counter,
        linkKeySeed=_written_key(facts.link_key_seed),
    )


def _written_node(node: NodeFacts) -> dict[str, Any]:
    if node.role not in (Role.ROUTER, Role.END_DEVICE):
        raise WriteError(f"role of node {node.extended_address}: right is router or end_device")
    link = _stated(
        kind=node.link_key_kind,
        key=_written_key(node.link_key),
        outgoingCounter=node.outgoing_counter,
        incomingCounter=node.incoming_counter,
    )
    if link and node.link_key_kind is None:
        raise WriteError(f"link_key_kind of node {node.extended_address} is missing beside its link key")
    return _stated(
        address=node.extended_address,
        short=None if node.short_address is None else f"{node.short_address:04X}",
        role=node.role,
        parent=node.parent,
        power=node.power,
        sleeps=node.sleeps,
        link=link,
        longestSilenceSeconds=node.longest_silence_seconds,
        label=node.label,
        room=node.room,
        lastHeard=None if node.last_heard is None else _written_time(node.last_heard),
    )


def _stated(**fields: Any) -> dict[str, Any]:
    """Only what is known: no nulls, no empty texts, no empty objects."""
    return {
        name: value for name, value in fields.items() if value is not None and value != "" and value != {}
    }


def _written_key(key: bytes | None) -> str | None:
    return None if key is None else key.hex().upper()


def _written_time(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat().replace("+00:00", "Z")
