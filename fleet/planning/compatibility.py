"""May this radio take over from that one, and what must then be done by hand (trade rule C8, first version).

Ordered rules, each with its own verdict and reason; the worst verdict is the verdict. A fact that nobody
knows makes its rule "untested", which is never shown as clean. The verdict is not symmetric. The rules are
common practice, no source; that link keys are tied to the trust centre's address is in the Zigbee
specification (security services, recalled).
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from fleet.planning.capabilities import (
    AddressPolicy,
    BuildFacts,
    ControllerFacts,
    FirmwareState,
    LinkKeyStore,
    MeshNeeds,
    NodeLink,
    RadioFacts,
)
from fleet.planning.rates import binomial_lower
from fleet.snapshots.facts import LinkKeyKind, SecurityMode


class Verdict(StrEnum):
    """From best to worst."""

    CLEAN = "clean"
    CONVERTS = "converts"
    PARTLY = "partly"
    UNTESTED = "untested"
    NO = "no"


SEVERITY = tuple(Verdict)


@dataclass(frozen=True, slots=True)
class PairRecord:
    """Drills and swaps from one build to another: how many were tried, how many passed."""

    trials: int = 0
    passes: int = 0

    @property
    def lower_bound(self) -> float:
        """The share that passes at least, one-sided 95 % (Clopper and Pearson); 0 without a pass."""
        return binomial_lower(self.passes, self.trials)


@dataclass(frozen=True, slots=True)
class Reason:
    """What one rule found. devices must be joined again; uncounted is how many more, not known by name."""

    rule: str
    verdict: Verdict
    text: str
    devices: tuple[str, ...] = ()
    uncounted: int = 0


@dataclass(frozen=True, slots=True)
class Compatibility:
    """The verdict, every rule's reason in the order of the rules, and what must be joined by hand."""

    verdict: Verdict
    reasons: tuple[Reason, ...]
    devices: tuple[str, ...]
    rejoin_count: int
    lower_bound: float

    @property
    def because(self) -> str:
        """The first of the reasons that made the verdict."""
        return next(reason.text for reason in self.reasons if reason.verdict is self.verdict)


@dataclass(frozen=True, slots=True)
class Case:
    """All that a rule may look at."""

    source: BuildFacts
    target: RadioFacts
    needs: MeshNeeds
    controller: ControllerFacts
    record: PairRecord

    @property
    def build(self) -> BuildFacts:
        """The build that is to take over."""
        return self.target.build


Rule = Callable[[Case], Reason]


def judge(
    source: RadioFacts,
    target: RadioFacts,
    needs: MeshNeeds,
    controller: ControllerFacts | None = None,
    record: PairRecord | None = None,
) -> Compatibility:
    """Judge whether target may take over from source; record is that of exactly these two builds.

    rejoin_count is the named devices and the largest overflow of a table, never more than the mesh has.
    """
    case = Case(source.build, target, needs, controller or ControllerFacts(), record or PairRecord())
    reasons = tuple(rule(case) for rule in RULES)
    verdict = max((reason.verdict for reason in reasons), key=SEVERITY.index)
    devices = tuple(dict.fromkeys(address for reason in reasons for address in reason.devices))
    overflow = max(reason.uncounted for reason in reasons)
    rejoin_count = min(len(devices) + overflow, max(needs.node_count, overflow))
    return Compatibility(verdict, reasons, devices, rejoin_count, case.record.lower_bound)


def _channel(case: Case) -> Reason:
    page, channel, build = case.needs.channel_page, case.needs.channel, case.build
    if build.channel_pages is None or build.channels is None:
        return Reason("channel", Verdict.UNTESTED, f"Which channels {build.name} may use is not known.")
    if page in build.channel_pages and channel in build.channels:
        return Reason(
            "channel", Verdict.CLEAN, f"{build.name} may use channel {channel} at full legal power."
        )
    if page in build.channel_pages and channel in build.reduced_channels:
        text = f"{build.name} runs channel {channel} at reduced power; look at the far devices."
        return Reason("channel", Verdict.CONVERTS, text)
    return Reason("channel", Verdict.NO, f"{build.name} may not use channel {channel} of page {page} here.")


def _address(case: Case) -> Reason:
    target, wanted = case.target, case.needs.head_address
    if wanted == (target.carried_address or target.factory_address):
        return Reason("address", Verdict.CLEAN, f"{target.code} carries the mesh's head address already.")
    if target.build.address_policy is None:
        text = f"Whether {target.code} can carry another radio's address is not known."
        return Reason("address", Verdict.UNTESTED, text)
    if target.build.address_policy is AddressPolicy.REWRITABLE:
        return Reason("address", Verdict.CLEAN, f"The address of {target.code} can be written.")
    if target.build.address_policy is AddressPolicy.FIXED:
        return Reason("address", Verdict.NO, f"The address of {target.code} cannot be changed.")
    if target.address_written is None:
        text = f"Whether the write-once address of {target.code} is used up is not known."
        return Reason("address", Verdict.UNTESTED, text)
    if target.address_written:
        return Reason("address", Verdict.NO, f"The write-once address of {target.code} is used up.")
    return Reason("address", Verdict.CLEAN, f"The address of {target.code} can be written, once.")


def _settable(rule: str, what: str, settable: bool | None, build: BuildFacts) -> Reason:
    if settable is None:
        return Reason(rule, Verdict.UNTESTED, f"Whether {what} can be set on {build.name} is not known.")
    if settable:
        return Reason(rule, Verdict.CLEAN, f"On {build.name}, {what} can be set.")
    return Reason(rule, Verdict.NO, f"On {build.name}, {what} cannot be set; the mesh would not hear it.")


def _network_key(case: Case) -> Reason:
    return _settable("network key", "the network key", case.build.network_key_settable, case.build)


def _key_sequence(case: Case) -> Reason:
    sequence, build = case.needs.key_sequence, case.build
    if sequence == 0 and build.key_sequence_settable is False:
        text = f"{build.name} begins at key sequence 0, which is the mesh's."
        return Reason("key sequence", Verdict.CLEAN, text)
    return _settable("key sequence", f"key sequence {sequence}", build.key_sequence_settable, build)


def _counter(case: Case) -> Reason:
    return _settable("counter", "the outgoing frame counter", case.build.counter_settable, case.build)


def _pan_id(case: Case) -> Reason:
    return _settable("PAN ID", "the PAN ID", case.build.pan_id_settable, case.build)


def _extended_pan_id(case: Case) -> Reason:
    settable = case.build.extended_pan_id_settable
    return _settable("extended PAN ID", "the extended PAN ID", settable, case.build)


_OWN_KEY = (LinkKeyKind.UNIQUE, LinkKeyKind.INSTALL_CODE)


def _link_keys(case: Case) -> Reason:
    needs, build = case.needs, case.build
    if needs.security_mode is SecurityMode.DISTRIBUTED:
        return Reason(
            "link keys", Verdict.CLEAN, "Under distributed trust no link key hangs on the head radio."
        )
    if build.link_keys is None:
        text = f"How {build.name} keeps link keys is not known."
        return Reason("link keys", Verdict.UNTESTED, text)
    unsaid = sum(link.kind is None for link in needs.links)
    if unsaid:
        text = f"The snapshot does not say how {_devices(unsaid)} came by a link key."
        return Reason("link keys", Verdict.UNTESTED, text)
    lost = tuple(link.extended_address for link in needs.links if not _carried_over(link, needs, build))
    if lost:
        text = f"{build.name} cannot be given the link keys of {_devices(len(lost))}; join these again."
        return Reason("link keys", Verdict.PARTLY, text, lost)
    derived = sum(link.kind is LinkKeyKind.DERIVED for link in needs.links)
    if derived and build.link_keys is LinkKeyStore.EXPLICIT:
        text = f"The derived link keys of {_devices(derived)} must be worked out one by one for {build.name}."
        return Reason("link keys", Verdict.CONVERTS, text)
    return Reason("link keys", Verdict.CLEAN, f"{build.name} can be given every link key.")


def _carried_over(link: NodeLink, needs: MeshNeeds, build: BuildFacts) -> bool:
    if link.kind is LinkKeyKind.DERIVED:
        return needs.seed_held or (link.key_held and build.link_keys is LinkKeyStore.EXPLICIT)
    if link.kind in _OWN_KEY:
        return link.key_held and build.link_keys is LinkKeyStore.EXPLICIT
    return True


def _link_key_table(case: Case) -> Reason:
    if case.build.link_keys is LinkKeyStore.DERIVED:
        return Reason("link key table", Verdict.CLEAN, f"{case.build.name} needs no entry for a derived key.")
    # A removed device may still hold an entry, so the table can be longer than the list of devices.
    no_entry = (LinkKeyKind.NONE, LinkKeyKind.PUBLIC)
    entries = sum(link.kind not in no_entry for link in case.needs.links)
    used = max(entries, case.needs.used.link_keys or 0)
    return _table("link key table", "link keys", used, case.build.limits.link_keys, case)


def _child_table(case: Case) -> Reason:
    return _table("child table", "children", case.needs.used.children, case.build.limits.children, case)


def _route_table(case: Case) -> Reason:
    return _table("route table", "routes", case.needs.used.routes, case.build.limits.routes, case)


def _binding_table(case: Case) -> Reason:
    used, limit = case.needs.used.bindings, case.build.limits.bindings
    if used is None:
        text = "How many bindings the head radio holds is not stated in the snapshot."
        return Reason("binding table", Verdict.UNTESTED, text)
    return _table("binding table", "bindings", used, limit, case)


def _green_power(case: Case) -> Reason:
    used, limit = case.needs.harvesting_nodes, case.build.green_power_sinks
    if used == 0:
        return Reason("green power", Verdict.CLEAN, "No device lives on harvested power.")
    return _table("green power", "green power sinks", used, limit, case)


def _table(rule: str, what: str, used: int | None, limit: int | None, case: Case) -> Reason:
    """One table's size against its use; where the use is not stated, every device may have an entry."""
    name = case.build.name
    if limit is None:
        return Reason(rule, Verdict.UNTESTED, f"How many {what} {name} holds is not known.")
    most = case.needs.node_count if used is None else used
    if most <= limit:
        at_most = "at most " if used is None else ""
        return Reason(rule, Verdict.CLEAN, f"{name} holds {limit} {what}; the mesh uses {at_most}{most}.")
    if used is None:
        text = f"How many {what} are in use is not stated; {name} holds {limit} for {_devices(most)}."
        return Reason(rule, Verdict.UNTESTED, text)
    text = f"{name} holds {limit} {what}, the mesh uses {used}; {used - limit} must be joined again."
    return Reason(rule, Verdict.PARTLY, text, uncounted=used - limit)


def _security_mode(case: Case) -> Reason:
    mode, modes = case.needs.security_mode, case.build.security_modes
    if mode is None:
        return Reason(
            "security mode", Verdict.UNTESTED, "The snapshot does not say whether trust is central."
        )
    if modes is None:
        return Reason("security mode", Verdict.UNTESTED, f"How {case.build.name} keeps trust is not known.")
    if mode in modes:
        return Reason("security mode", Verdict.CLEAN, f"{case.build.name} can lead with {mode} trust.")
    return Reason("security mode", Verdict.NO, f"{case.build.name} cannot lead with {mode} trust.")


def _stack_revision(case: Case) -> Reason:
    was, will_be = case.source.stack_revision, case.build.stack_revision
    if was is None or will_be is None:
        unknown = case.source.name if was is None else case.build.name
        text = f"The stack revision of {unknown} is not known."
        return Reason("stack revision", Verdict.UNTESTED, text)
    if will_be >= was:
        return Reason("stack revision", Verdict.CLEAN, f"Stack revision {will_be} follows {was}.")
    if case.record.passes:
        text = f"Stack revision goes back from {was} to {will_be}; that has passed before."
        return Reason("stack revision", Verdict.CONVERTS, text)
    text = f"Stack revision goes back from {was} to {will_be}; nobody has seen that work."
    return Reason("stack revision", Verdict.UNTESTED, text)


def _firmware(case: Case) -> Reason:
    name, state = case.build.name, case.build.firmware_state
    if state is FirmwareState.BARRED:
        return Reason("firmware", Verdict.NO, f"{name} is barred.")
    if state in (FirmwareState.ALLOWED, FirmwareState.PREFERRED):
        return Reason("firmware", Verdict.CLEAN, f"{name} is {state}.")
    stands = "has no policy yet" if state is None else f'stands at "{state}"'
    return Reason("firmware", Verdict.UNTESTED, f"{name} {stands}; it is not in an allowed state.")


def _driver(case: Case) -> Reason:
    build, source, controller = case.build, case.source, case.controller
    if build.connection is None or build.family is None:
        text = f"The connection or family of {build.name} is not known."
        return Reason("driver", Verdict.UNTESTED, text)
    if (build.connection, build.family) == (source.connection, source.family):
        return Reason(
            "driver", Verdict.CLEAN, "The controller drives this family on this connection already."
        )
    if controller.connections is None or controller.families is None:
        return Reason("driver", Verdict.UNTESTED, "What the home's controller has drivers for is not known.")
    if build.connection in controller.connections and build.family in controller.families:
        text = f"Set the controller to family {build.family} on a {build.connection} connection."
        return Reason("driver", Verdict.CONVERTS, text)
    text = f"The controller has no driver for family {build.family} on a {build.connection} connection."
    return Reason("driver", Verdict.NO, text)


def _power(case: Case) -> Reason:
    wanted, build = case.needs.power_dbm, case.build
    if wanted is None:
        return Reason("power", Verdict.UNTESTED, "The snapshot does not state the transmit power.")
    if build.max_power_dbm is None or build.power_settable is None:
        text = f"Whether {build.name} can be set to {wanted} dBm is not known."
        return Reason("power", Verdict.UNTESTED, text)
    if build.max_power_dbm < wanted:
        text = f"{build.name} sends at most {build.max_power_dbm} dBm, not {wanted}; look at the far devices."
        return Reason("power", Verdict.CONVERTS, text)
    if not build.power_settable:
        text = f"The power of {build.name} is not carried over; set {wanted} dBm by hand."
        return Reason("power", Verdict.CONVERTS, text)
    return Reason("power", Verdict.CLEAN, f"{build.name} can be set to {wanted} dBm.")


def _tried(case: Case) -> Reason:
    pair, record = f"{case.source.name} to {case.build.name}", case.record
    if record.trials == 0:
        return Reason("record", Verdict.UNTESTED, f"No drill or swap from {pair} was ever tried.")
    if record.passes == 0:
        return Reason("record", Verdict.NO, f"From {pair}, 0 of {record.trials} tries passed.")
    share = f"at least {record.lower_bound * 100:.1f} % at 95 % confidence"
    return Reason(
        "record", Verdict.CLEAN, f"From {pair}, {record.passes} of {record.trials} tries passed: {share}."
    )


def _devices(count: int) -> str:
    return "1 device" if count == 1 else f"{count} devices"


RULES: tuple[Rule, ...] = (
    _channel,
    _address,
    _network_key,
    _key_sequence,
    _counter,
    _pan_id,
    _extended_pan_id,
    _link_keys,
    _link_key_table,
    _child_table,
    _route_table,
    _binding_table,
    _green_power,
    _stack_revision,
    _security_mode,
    _firmware,
    _driver,
    _power,
    _tried,
)
