"""Documents in the layout of the demo's trial box, which a book knows only once somebody has taught it."""

import json
from base64 import b64encode
from dataclasses import replace
from datetime import datetime

from fixtures import trial_box
from fleet.models import How, Mesh, TrayItem
from fleet.snapshots.facts import SnapshotFacts
from fleet.verbs.intake import Origin, receive
from tests import make
from tests.fleet.snapshots.foreign import truth

SEED = 1
ORIGIN = Origin(How.PUSH, "controller", "night.json")


def home_mesh(**given: object) -> Mesh:
    """A mesh with the identity of a network whose addresses look drawn by lot, as real ones do."""
    told = truth(SEED)
    identity = {"head_address": told.head_address, "extended_pan_id": told.extended_pan_id}
    return make.mesh(**{**identity, **given})


def facts(mesh: Mesh, taken_at: datetime = make.NOW, **given: object) -> SnapshotFacts:
    """What the box knows of this mesh; name what should differ."""
    told = truth(SEED)
    later = taken_at - told.taken_at
    nodes = tuple(
        replace(
            node,
            parent=mesh.head_address if node.parent == told.head_address else node.parent,
            last_heard=node.last_heard + later,
        )
        for node in told.nodes
    )
    identity = {"head_address": mesh.head_address, "extended_pan_id": mesh.extended_pan_id}
    return replace(told, **{**identity, "taken_at": taken_at, "nodes": nodes, **given})


def body(mesh: Mesh, taken_at: datetime = make.NOW, **given: object) -> bytes:
    """The document that it writes."""
    return trial_box.write(facts(mesh, taken_at, **given))


def without(mesh: Mesh, *path: str) -> bytes:
    """The same with one member left out."""
    document = json.loads(body(mesh))
    part = document
    for step in path[:-1]:
        part = part[step]
    del part[path[-1]]
    return json.dumps(document).encode()


def waits(mesh: Mesh | None, document: bytes | None = None, at: datetime = make.NOW) -> TrayItem:
    """A document that came in and could not be taken in."""
    item = receive(mesh, body(mesh) if document is None else document, ORIGIN, at).tray_item
    assert item is not None
    return item


def secrets(mesh: Mesh) -> list[str]:
    """Every key in the document, in each notation in which it could be shown."""
    told = facts(mesh)
    keys = [told.network_key, *(node.link_key for node in told.nodes if node.link_key)]
    return [text for each in keys for text in _notations(each)]


def _notations(secret: bytes) -> list[str]:
    octets = list(secret)
    return [
        secret.hex(),
        secret.hex().upper(),
        secret[::-1].hex(),
        secret.hex(":"),
        b64encode(secret).decode().rstrip("="),
        ", ".join(map(str, octets)),
        ",".join(map(str, octets)),
        str(int.from_bytes(secret, "big")),
    ]
