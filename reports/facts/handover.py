"""What the hand-over sheet says. The order of the fields is the order on paper."""

from collections import Counter
from dataclasses import dataclass

from reports.facts.care import UNSIGNED, Agreement, Batteries, Entry, Signing, Warranty
from reports.facts.errors import FactsError
from reports.facts.fixed import Text, english
from reports.facts.head import Contact, Firm, Home, Issue
from reports.facts.mesh import MeshFacts
from reports.facts.radio import HeadRadio
from reports.facts.safety import MainsPart, SafetyItem
from reports.facts.snapshots import SnapshotCare


@dataclass(frozen=True, slots=True)
class Device:
    """One device other than a head radio. `by_hand` says how to use it when nothing else works."""

    name: str
    kind: Text | None = None
    purpose: str | None = None
    power: Text | None = None
    by_hand: str | None = None
    mesh_code: str | None = None


@dataclass(frozen=True, slots=True)
class Room:
    """A room and its devices. An empty name stands for devices whose room nobody recorded."""

    name: str
    devices: tuple[Device, ...]


@dataclass(frozen=True, slots=True)
class WithoutRadio:
    """One line of what works without radio, controller or internet: lights, doors, heating, alarms, water.

    `subject` may be several things for which the same holds.
    """

    subject: Text | tuple[Text, ...]
    what_works: str


@dataclass(frozen=True, slots=True)
class HandoverFacts:
    """Everything on a hand-over sheet. `data_held` lists what the firm keeps about the home."""

    issue: Issue
    firm: Firm
    home: Home
    rooms: tuple[Room, ...] = ()
    radios: tuple[HeadRadio, ...] = ()
    without_radio: tuple[WithoutRadio, ...] | None = None
    safety: tuple[SafetyItem, ...] | None = None
    mains: tuple[MainsPart, ...] | None = None
    meshes: tuple[MeshFacts, ...] = ()
    snapshots: tuple[SnapshotCare, ...] = ()
    duties: tuple[str, ...] = ()
    batteries: tuple[Batteries, ...] | None = None
    agreement: Agreement | None = None
    contacts: tuple[Contact, ...] | None = None
    warranties: tuple[Warranty, ...] | None = None
    data_held: tuple[Text, ...] | None = None
    entry: tuple[Entry, ...] | None = None
    battery_disposal: Text | None = None
    signing: Signing = UNSIGNED

    def __post_init__(self) -> None:
        counts = [mesh.counts for mesh in self.meshes]
        if not counts or any(each is None for each in counts):
            return
        in_meshes = sum(each.total for each in counts if each is not None)
        if in_meshes != self.device_count:
            raise FactsError(
                f"rooms: {self.device_count} devices are listed, but the node lists of the meshes "
                f"hold {in_meshes}; list each node once"
            )

    @property
    def device_count(self) -> int:
        """Devices in all rooms, the head radios not counted."""
        return sum(len(room.devices) for room in self.rooms)

    def count_by_kind(self) -> tuple[tuple[Text | None, int], ...]:
        """Kinds with their counts, most first; devices of unrecorded kind come last under None."""
        counted = Counter(device.kind for room in self.rooms for device in room.devices)
        return tuple(sorted(counted.items(), key=lambda pair: (pair[0] is None, -pair[1], english(pair[0]))))
