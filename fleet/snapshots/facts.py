"""What one snapshot says about a mesh, as frozen facts.

Every reader (our own layout, a field guide) ends here, and every check, comparison and row starts here.
Addresses are sixteen upper-case hex digits, most significant octet first; short addresses and PAN IDs are
integers; keys are 16 octets and never appear in a repr; counters are 0 to 4,294,967,294; times are aware.
"""

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum


class Role(StrEnum):
    """What a node is to the network layer (Zigbee specification, node descriptor, logical type)."""

    HEAD = "head"
    ROUTER = "router"
    END_DEVICE = "end_device"


class Power(StrEnum):
    """Where a node's power comes from."""

    MAINS = "mains"
    BATTERY = "battery"
    HARVESTED = "harvested"


class LinkKeyKind(StrEnum):
    """How a link key came about; it decides what a restore can carry over."""

    PUBLIC = "public"
    INSTALL_CODE = "install_code"
    UNIQUE = "unique"
    DERIVED = "derived"
    NONE = "none"


class SecurityMode(StrEnum):
    """Central (one trust centre) or distributed trust."""

    CENTRAL = "central"
    DISTRIBUTED = "distributed"


@dataclass(frozen=True, slots=True)
class NodeFacts:
    """One device of the mesh other than the head radio. None means the document does not say."""

    extended_address: str
    short_address: int | None = None
    role: Role | None = None
    parent: str | None = None
    power: Power | None = None
    sleeps: bool | None = None
    link_key_kind: LinkKeyKind | None = None
    link_key: bytes | None = field(default=None, repr=False)
    outgoing_counter: int | None = None
    incoming_counter: int | None = None
    longest_silence_seconds: int | None = None
    label: str = ""
    room: str = ""
    last_heard: datetime | None = None


@dataclass(frozen=True, slots=True)
class TableUse:
    """How many entries of each table of the head radio are in use. None means not stated."""

    children: int | None = None
    neighbours: int | None = None
    routes: int | None = None
    source_routes: int | None = None
    link_keys: int | None = None
    bindings: int | None = None
    groups: int | None = None


@dataclass(frozen=True, slots=True)
class SnapshotFacts:
    """A mesh's state at one moment.

    channel_mask is 32 bits; power_dbm is the head's transmit power; outgoing_counter is the network-layer
    frame counter under network_key and key_sequence.
    """

    head_address: str
    extended_pan_id: str
    pan_id: int
    channel: int
    network_key: bytes = field(repr=False)
    key_sequence: int
    outgoing_counter: int
    taken_at: datetime | None = None
    head_short_address: int = 0
    channel_page: int = 0
    channel_mask: int | None = None
    update_id: int | None = None
    power_dbm: int | None = None
    security_level: int | None = None
    security_mode: SecurityMode | None = None
    link_key_seed: bytes | None = field(default=None, repr=False)
    stack_profile: int | None = None
    stack_revision: int | None = None
    firmware: str = ""
    writer: str = ""
    nodes: tuple[NodeFacts, ...] = ()
    tables: TableUse = TableUse()
