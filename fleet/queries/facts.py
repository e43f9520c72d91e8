"""The one place where rows become the frozen facts that decisions take."""

from fleet.mesh.capacity import Limit, Resource, Room, room_of
from fleet.mesh.capacity import LimitSource as Source
from fleet.mesh.channels import channels_in_mask
from fleet.models import (
    AddressPolicy,
    Drill,
    EndReason,
    FirmwareRelease,
    LinkKeyStore,
    Mesh,
    ModelLimit,
    Node,
    Place,
    Radio,
    RadioModel,
    SafetyKind,
    SecurityModes,
    ServicePeriod,
)
from fleet.planning import capabilities
from fleet.planning.capabilities import BuildFacts, MeshNeeds, NodeLink, RadioFacts
from fleet.planning.drills import DrillFacts, DrillKind
from fleet.planning.estimating import DeviceClass
from fleet.planning.reach import Position
from fleet.planning.service_years import Build, Period
from fleet.snapshots.facts import LinkKeyKind, Power, SecurityMode, TableUse
from sites.models import Site

# The book's word for devices in all is the observed ceiling of the capacity room.
CEILING = {"devices": Resource.OBSERVED_CEILING}
LIFE_SAFETY = {SafetyKind.SMOKE, SafetyKind.GAS, SafetyKind.WATER, SafetyKind.CALL, SafetyKind.HEAT}
MODES = {
    SecurityModes.CENTRAL: frozenset({SecurityMode.CENTRAL}),
    SecurityModes.DISTRIBUTED: frozenset({SecurityMode.DISTRIBUTED}),
    SecurityModes.BOTH: frozenset(SecurityMode),
}


def build_facts(model: RadioModel, release: FirmwareRelease | None) -> BuildFacts:
    """What this build can do, as far as anybody wrote it down."""
    limits = _least_limits(model)
    table = {name: limits.get(name) for name in TableUse.__dataclass_fields__}
    return BuildFacts(
        model=str(model),
        firmware=release.version if release else "",
        family=model.family,
        firmware_state=capabilities.FirmwareState(release.policy) if release else None,
        connection=capabilities.Connection(model.connection),
        address_policy=_known(capabilities.AddressPolicy, model.address_policy, AddressPolicy.UNKNOWN),
        channel_pages=frozenset({0}) if model.channel_mask is not None else None,
        channels=frozenset(channels_in_mask(model.channel_mask)) if model.channel_mask is not None else None,
        reduced_channels=frozenset(channels_in_mask(model.reduced_channel_mask)),
        max_power_dbm=model.max_power_dbm,
        power_settable=release.sets_power if release else None,
        network_key_settable=release.sets_network_key if release else None,
        key_sequence_settable=release.sets_key_sequence if release else None,
        counter_settable=release.sets_counter if release else None,
        pan_id_settable=release.sets_pan_id if release else None,
        extended_pan_id_settable=release.sets_extended_pan_id if release else None,
        link_keys=_known(capabilities.LinkKeyStore, model.link_key_store, LinkKeyStore.UNKNOWN),
        limits=TableUse(**table),
        green_power_sinks=limits.get("green_power"),
        stack_revision=release.stack_revision if release else None,
        security_modes=MODES.get(release.security_modes) if release else None,
    )


def _known(kind, value: str, unknown: str):  # type: ignore[no-untyped-def]
    return None if value == unknown else kind(value)


def _least_limits(model: RadioModel) -> dict[str, int]:
    """Per resource the lesser of declared and observed: a maker's number is no promise."""
    limits: dict[str, int] = {}
    for limit in model.limits.all():
        limits[limit.resource] = min(limit.value, limits.get(limit.resource, limit.value))
    return limits


def radio_facts(radio: Radio) -> RadioFacts:
    """One unit with its build."""
    return RadioFacts(
        code=radio.code,
        build=build_facts(radio.model, radio.firmware),
        factory_address=radio.factory_address,
        carried_address=radio.carried_address,
        address_written=radio.address_written,
    )


def needs_of(mesh: Mesh, nodes: list[Node]) -> MeshNeeds | None:
    """What the mesh asks of a head radio, from the newest sound snapshot's rows; None before there is one."""
    if mesh.head_address is None or mesh.channel is None or mesh.key_sequence is None:
        return None
    use = {name: mesh.table_use.get(name) for name in TableUse.__dataclass_fields__}
    return MeshNeeds(
        head_address=mesh.head_address,
        channel=mesh.channel,
        key_sequence=mesh.key_sequence,
        power_dbm=mesh.power_dbm,
        security_mode=SecurityMode(mesh.security_mode) if mesh.security_mode else None,
        used=TableUse(**use),
        links=tuple(_link(node) for node in nodes),
        seed_held=mesh.seed_held,
        harvesting_nodes=sum(node.power == Power.HARVESTED for node in nodes),
    )


def _link(node: Node) -> NodeLink:
    kind = LinkKeyKind(node.link_key_kind) if node.link_key_kind else None
    return NodeLink(node.extended_address, kind, node.link_key_held)


def class_counts(nodes: list[Node]) -> dict[DeviceClass, int]:
    """How many devices of each class would have to be joined by hand."""
    counts: dict[DeviceClass, int] = {}
    for node in nodes:
        kind = device_class(node)
        counts[kind] = counts.get(kind, 0) + 1
    return counts


def device_class(node: Node) -> DeviceClass:
    """How a device is reached. A mains device counts as fixed, the slower case, where nobody wrote more."""
    if node.safety_kind == SafetyKind.LOCK:
        return DeviceClass.LOCK
    if node.safety_kind in LIFE_SAFETY:
        return DeviceClass.LIFE_SAFETY
    return DeviceClass.FIXED if node.power == Power.MAINS else DeviceClass.BATTERY


def room_in(mesh: Mesh, model: RadioModel | None) -> Room:
    """Headroom of the mesh's head radio, resource by resource."""
    used: dict[Resource, int | None] = {}
    for name, count in mesh.table_use.items():
        used[CEILING.get(name) or Resource(name)] = count
    least: dict[Resource, Limit] = {}
    for row in model.limits.all() if model else ():
        _take_lesser(least, row)
    return room_of(used, least)


def _take_lesser(least: dict[Resource, Limit], row: ModelLimit) -> None:
    try:
        resource = CEILING.get(row.resource) or Resource(row.resource)
    except ValueError:  # green power sinks are no part of the headroom picture
        return
    known = least.get(resource)
    if known is None or known.value is None or row.value < known.value:
        least[resource] = Limit(row.value, Source(row.source), row.noted_on)


def position_of(place: Place | None) -> Position | None:
    """Where a place is: a home's own position, a shelf's or a van's."""
    if place is None:
        return None
    return position_at(place.site or place)


def position_at(spot: Place | Site) -> Position | None:
    """The position of a home, a shelf or a van by itself."""
    if spot.latitude is None or spot.longitude is None:
        return None
    return Position(float(spot.latitude), float(spot.longitude))


def period_facts(row: ServicePeriod) -> Period:
    """One time in service as rates are reckoned from it, by the build that is on the radio now."""
    model, firmware = row.radio.model, row.radio.firmware
    build = Build(model.family, model.code, firmware.version if firmware else None)
    return Period(build, row.since, row.until, row.why_ended == EndReason.FAILED)


def drill_facts(drill: Drill) -> DrillFacts:
    """One rehearsal as decisions see it."""
    return DrillFacts(DrillKind(drill.kind), drill.done_at, drill.result == "passed", drill.own_pair_only)
