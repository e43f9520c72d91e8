"""What a radio can do and what a mesh asks of it: the facts behind a compatibility verdict (trade rule C8).

Nothing here holds a key, so a round can judge from rows without opening a sealed snapshot.
"""

from dataclasses import dataclass
from enum import StrEnum

from fleet.snapshots.facts import LinkKeyKind, Power, SecurityMode, SnapshotFacts, TableUse

NOT_STATED = TableUse()


class AddressPolicy(StrEnum):
    """Whether a radio can carry another radio's 64-bit address."""

    REWRITABLE = "rewritable"
    WRITE_ONCE = "write_once"
    FIXED = "fixed"


class LinkKeyStore(StrEnum):
    """Where a build finds a device's link key: an entry of its own, or worked out from one seed."""

    EXPLICIT = "explicit"
    DERIVED = "derived"


class Connection(StrEnum):
    """How a radio hangs on its controller."""

    SERIAL = "serial"
    NETWORK = "network"
    BUILT_IN = "built_in"


class FirmwareState(StrEnum):
    """The firm's policy on one build."""

    SEEN = "seen"
    TRIAL = "trial"
    ALLOWED = "allowed"
    PREFERRED = "preferred"
    HOLD = "hold"
    BARRED = "barred"


@dataclass(frozen=True, slots=True)
class BuildFacts:
    """What one firmware on one model can do. None means that nobody has written it down.

    channels are those it may use at full legal power where the home is, reduced_channels those at less.
    limits are table sizes, declared or observed, whichever is less; green_power_sinks is one more.
    """

    model: str
    firmware: str
    family: str | None = None
    firmware_state: FirmwareState | None = None
    connection: Connection | None = None
    address_policy: AddressPolicy | None = None
    channel_pages: frozenset[int] | None = None
    channels: frozenset[int] | None = None
    reduced_channels: frozenset[int] = frozenset()
    max_power_dbm: int | None = None
    power_settable: bool | None = None
    network_key_settable: bool | None = None
    key_sequence_settable: bool | None = None
    counter_settable: bool | None = None
    pan_id_settable: bool | None = None
    extended_pan_id_settable: bool | None = None
    link_keys: LinkKeyStore | None = None
    limits: TableUse = NOT_STATED
    green_power_sinks: int | None = None
    stack_revision: int | None = None
    security_modes: frozenset[SecurityMode] | None = None

    @property
    def name(self) -> str:
        """Model and firmware, as people say it."""
        return f"{self.model} {self.firmware}".strip()


@dataclass(frozen=True, slots=True)
class RadioFacts:
    """One unit. address_written says whether a write-once address is used up; None where nobody looked."""

    code: str
    build: BuildFacts
    factory_address: str | None = None
    carried_address: str | None = None
    address_written: bool | None = None


@dataclass(frozen=True, slots=True)
class NodeLink:
    """A device, how it came by its link key, and whether the snapshot holds that key."""

    extended_address: str
    kind: LinkKeyKind | None
    key_held: bool


@dataclass(frozen=True, slots=True)
class MeshNeeds:
    """What a mesh asks of its head radio, without any key. None means that the snapshot does not say."""

    head_address: str
    channel: int
    key_sequence: int
    channel_page: int = 0
    power_dbm: int | None = None
    security_mode: SecurityMode | None = None
    used: TableUse = NOT_STATED
    links: tuple[NodeLink, ...] = ()
    seed_held: bool = False
    harvesting_nodes: int = 0

    @property
    def node_count(self) -> int:
        """Devices other than the head radio."""
        return len(self.links)


@dataclass(frozen=True, slots=True)
class ControllerFacts:
    """What the home's controller has drivers for. None means not known."""

    connections: frozenset[Connection] | None = None
    families: frozenset[str] | None = None


def needs_of(snapshot: SnapshotFacts) -> MeshNeeds:
    """What a snapshot's mesh asks of a radio; keys stay behind."""
    links = tuple(
        NodeLink(node.extended_address, node.link_key_kind, node.link_key is not None)
        for node in snapshot.nodes
    )
    return MeshNeeds(
        head_address=snapshot.head_address,
        channel=snapshot.channel,
        key_sequence=snapshot.key_sequence,
        channel_page=snapshot.channel_page,
        power_dbm=snapshot.power_dbm,
        security_mode=snapshot.security_mode,
        used=snapshot.tables,
        links=links,
        seed_held=snapshot.link_key_seed is not None,
        harvesting_nodes=sum(node.power is Power.HARVESTED for node in snapshot.nodes),
    )
