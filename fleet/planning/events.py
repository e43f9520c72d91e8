"""Events for other systems: which acts of the journal are told, what is said of them, and how it is signed.

Signed as the open specification Standard Webhooks 1.0.0 has it (sections "Signature scheme" and "Webhook headers";
recalled): HMAC-SHA-256, symmetric, over id, timestamp and body joined by full stops. Only what the tables name is
told: codes, marks and counts, never names of people, never secrets.
"""

import base64
import hashlib
import hmac
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum

from fleet.mesh.codes import is_mesh_code, site_code_of

SECRET_OCTETS = 32
SECRET_PREFIX = "whsec_"
HELD = "held"


class Kind(StrEnum):
    """What is told."""

    LANDED = "snapshot.landed"
    HELD = "snapshot.held"
    TRAYED = "document.trayed"
    READINESS = "readiness.changed"
    ROUND = "round.done"
    ERASED = "client.erased"
    SHEET = "sheet.issued"


@dataclass(frozen=True, slots=True)
class Happening:
    """An event without its mark and moment. `home` is the code of the home it is about, empty for the book."""

    kind: Kind
    home: str
    data: dict[str, object]


TOLD_ACTS: dict[str, tuple[Kind, str, tuple[str, ...]]] = {
    "snapshot taken in": (Kind.LANDED, "mesh", ("snapshot", "grade")),
    "document put in the tray": (Kind.TRAYED, "mesh", ("item", "reason")),
    "round done": (Kind.ROUND, "", ("meshes", "errors")),
    "client erased": (Kind.ERASED, "client", ()),
    "sheet issued": (Kind.SHEET, "of", ("number", "sha256")),
}
"""By what the journal says: the kind, what its subject is, and which of its details are told."""


def of_act(what: str, subject: str, details: Mapping[str, object]) -> Happening:
    """The event of one journal line whose act is in TOLD_ACTS."""
    kind, named, told = TOLD_ACTS[what]
    if kind is Kind.LANDED and details.get("grade") == HELD:
        kind = Kind.HELD
    data: dict[str, object] = {named: subject} if named and subject else {}
    data |= {name: details[name] for name in told if name in details}
    return Happening(kind, "" if kind is Kind.ERASED else home_of(subject), data)


def of_readiness(mesh_code: str, was: str, became: str, gate: str) -> Happening:
    """The event of a mesh whose readiness changed; `was` is empty at its first judgement."""
    data: dict[str, object] = {"mesh": mesh_code, "was": was or None, "became": became, "gate": gate or None}
    return Happening(Kind.READINESS, home_of(mesh_code), data)


def home_of(code: str) -> str:
    """The home's code of a mesh's or home's own."""
    return site_code_of(code) if is_mesh_code(code) else code


def body(kind: str, at: datetime, data: Mapping[str, object]) -> bytes:
    """The octets that are sent: type, timestamp and data, the same each time for the same event."""
    stamp = at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
    content = {"type": kind, "timestamp": stamp, "data": dict(data)}
    return json.dumps(content, ensure_ascii=False, separators=(",", ":")).encode()


def headers(mark: str, at: datetime, content: bytes, secret: bytes) -> dict[str, str]:
    """What goes with it. `at` is the moment of this try: receivers refuse what is minutes old."""
    stamp = str(int(at.timestamp()))
    signed = b".".join((mark.encode(), stamp.encode(), content))
    signature = base64.b64encode(hmac.new(secret, signed, hashlib.sha256).digest()).decode()
    return {
        "content-type": "application/json",
        "webhook-id": mark,
        "webhook-timestamp": stamp,
        "webhook-signature": f"v1,{signature}",
    }


def shown_secret(secret: bytes) -> str:
    """The secret as the specification writes it, for the receiver's settings."""
    return SECRET_PREFIX + base64.b64encode(secret).decode()
