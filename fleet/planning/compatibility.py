"""May this radio take over from that one, and what must then be done by hand (trade rule C8, first version).

Ordered rules, each with its own verdict and reason; the worst verdict is the verdict. A fact that nobody
knows makes its rule "untested", which is never shown as clean. The verdict is not symmetric. The rules are
common practice, no source; that link keys are tied to the trust centre's address is in the Zigbee
specification (security services, recalled).
"""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
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
from fleet.planning.phrases.fit import Fit, Thing, thing
from fleet.planning.rates import binomial_lower
from fleet.planning.sentences import Sentence, Value
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
    why: Sentence
    devices: tuple[str, ...] = ()
    uncounted: int = 0

    @property
    def text(self) -> str:
        """In English."""
        return self.why.text


@dataclass(frozen=True, slots=True)
class Compatibility:
    """The verdict, every rule's reason in the order of the rules, and what must be joined by hand."""

    verdict: Verdict
    reasons: tuple[Reason, ...]
    devices: tuple[str, ...]
    rejoin_count: int
    lower_bound: float

    @property
    def why(self) -> Sentence:
        """The first of the reasons that made the verdict."""
        return next(reason.why for reason in self.reasons if reason.verdict is self.verdict)

    @property
    def because(self) -> str:
        """The same in English."""
        return self.why.text


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
        return Reason("channel", Verdict.UNTESTED, Fit.CHANNEL_UNKNOWN.of(build=build.name))
    if page in build.channel_pages and channel in build.channels:
        why = Fit.CHANNEL_FULL.of(build=build.name, channel=channel)
        return Reason("channel", Verdict.CLEAN, why)
    if page in build.channel_pages and channel in build.reduced_channels:
        why = Fit.CHANNEL_REDUCED.of(build=build.name, channel=channel)
        return Reason("channel", Verdict.CONVERTS, why)
    why = Fit.CHANNEL_NOT.of(build=build.name, channel=channel, page=page)
    return Reason("channel", Verdict.NO, why)


def _address(case: Case) -> Reason:
    verdict, phrase = _address_found(case.target, case.needs.head_address)
    return Reason("address", verdict, phrase.of(radio=case.target.code))


def _address_found(target: RadioFacts, wanted: str | None) -> tuple[Verdict, Fit]:
    policy = target.build.address_policy
    if wanted == (target.carried_address or target.factory_address):
        return Verdict.CLEAN, Fit.ADDRESS_CARRIED
    if policy is None:
        return Verdict.UNTESTED, Fit.ADDRESS_UNKNOWN
    if policy is AddressPolicy.REWRITABLE:
        return Verdict.CLEAN, Fit.ADDRESS_WRITABLE
    if policy is AddressPolicy.FIXED:
        return Verdict.NO, Fit.ADDRESS_FIXED
    if target.address_written is None:
        return Verdict.UNTESTED, Fit.ADDRESS_ONCE_UNKNOWN
    return (
        (Verdict.NO, Fit.ADDRESS_ONCE_USED)
        if target.address_written
        else (Verdict.CLEAN, Fit.ADDRESS_ONCE_FREE)
    )


def _settable(rule: str, what: Sentence, settable: bool | None, build: BuildFacts) -> Reason:
    found = {
        None: (Verdict.UNTESTED, Fit.SETTING_UNKNOWN),
        True: (Verdict.CLEAN, Fit.SETTING_CAN),
        False: (Verdict.NO, Fit.SETTING_CANNOT),
    }
    verdict, phrase = found[settable]
    return Reason(rule, verdict, phrase.of(what=what, build=build.name))


def _network_key(case: Case) -> Reason:
    return _settable("network key", Thing.NETWORK_KEY.of(), case.build.network_key_settable, case.build)


def _key_sequence(case: Case) -> Reason:
    sequence, build = case.needs.key_sequence, case.build
    if sequence == 0 and build.key_sequence_settable is False:
        return Reason("key sequence", Verdict.CLEAN, Fit.SEQUENCE_NOUGHT.of(build=build.name))
    what = Thing.KEY_SEQUENCE.of(number=sequence)
    return _settable("key sequence", what, build.key_sequence_settable, build)


def _counter(case: Case) -> Reason:
    return _settable("counter", Thing.COUNTER.of(), case.build.counter_settable, case.build)


def _pan_id(case: Case) -> Reason:
    return _settable("PAN ID", Thing.PAN_ID.of(), case.build.pan_id_settable, case.build)


def _extended_pan_id(case: Case) -> Reason:
    settable = case.build.extended_pan_id_settable
    return _settable("extended PAN ID", Thing.EXTENDED_PAN_ID.of(), settable, case.build)


_OWN_KEY = (LinkKeyKind.UNIQUE, LinkKeyKind.INSTALL_CODE)


def _link_keys(case: Case) -> Reason:
    needs, build = case.needs, case.build
    if needs.security_mode is SecurityMode.DISTRIBUTED:
        return Reason("link keys", Verdict.CLEAN, Fit.LINK_KEYS_DISTRIBUTED.of())
    if build.link_keys is None:
        return Reason("link keys", Verdict.UNTESTED, Fit.LINK_KEYS_UNKNOWN.of(build=build.name))
    unsaid = sum(link.kind is None for link in needs.links)
    if unsaid:
        return Reason("link keys", Verdict.UNTESTED, Fit.LINK_KEYS_UNSAID.of(n=unsaid))
    lost = tuple(link.extended_address for link in needs.links if not _carried_over(link, needs, build))
    if lost:
        why = Fit.LINK_KEYS_LOST.of(build=build.name, n=len(lost))
        return Reason("link keys", Verdict.PARTLY, why, lost)
    derived = sum(link.kind is LinkKeyKind.DERIVED for link in needs.links)
    if derived and build.link_keys is LinkKeyStore.EXPLICIT:
        why = Fit.LINK_KEYS_DERIVED.of(n=derived, build=build.name)
        return Reason("link keys", Verdict.CONVERTS, why)
    return Reason("link keys", Verdict.CLEAN, Fit.LINK_KEYS_ALL.of(build=build.name))


def _carried_over(link: NodeLink, needs: MeshNeeds, build: BuildFacts) -> bool:
    if link.kind is LinkKeyKind.DERIVED:
        return needs.seed_held or (link.key_held and build.link_keys is LinkKeyStore.EXPLICIT)
    if link.kind in _OWN_KEY:
        return link.key_held and build.link_keys is LinkKeyStore.EXPLICIT
    return True


def _link_key_table(case: Case) -> Reason:
    if case.build.link_keys is LinkKeyStore.DERIVED:
        why = Fit.TABLE_NO_ENTRY.of(build=case.build.name)
        return Reason("link key table", Verdict.CLEAN, why)
    # A removed device may still hold an entry, so the table can be longer than the list of devices.
    no_entry = (LinkKeyKind.NONE, LinkKeyKind.PUBLIC)
    entries = sum(link.kind not in no_entry for link in case.needs.links)
    used = max(entries, case.needs.used.link_keys or 0)
    return _table("link key table", Thing.LINK_KEYS, used, case.build.limits.link_keys, case)


def _child_table(case: Case) -> Reason:
    return _table("child table", Thing.CHILDREN, case.needs.used.children, case.build.limits.children, case)


def _route_table(case: Case) -> Reason:
    return _table("route table", Thing.ROUTES, case.needs.used.routes, case.build.limits.routes, case)


def _binding_table(case: Case) -> Reason:
    used, limit = case.needs.used.bindings, case.build.limits.bindings
    if used is None:
        return Reason("binding table", Verdict.UNTESTED, Fit.BINDINGS_UNSAID.of())
    return _table("binding table", Thing.BINDINGS, used, limit, case)


def _green_power(case: Case) -> Reason:
    used, limit = case.needs.harvesting_nodes, case.build.green_power_sinks
    if used == 0:
        return Reason("green power", Verdict.CLEAN, Fit.NO_HARVESTING.of())
    return _table("green power", Thing.GREEN_POWER, used, limit, case)


def _table(rule: str, kind: Thing, used: int | None, limit: int | None, case: Case) -> Reason:
    """One table's size against its use; where the use is not stated, every device may have an entry."""
    name, what = case.build.name, kind.of()
    if limit is None:
        return Reason(rule, Verdict.UNTESTED, Fit.TABLE_UNKNOWN.of(what=what, build=name))
    most = case.needs.node_count if used is None else used
    if most <= limit:
        phrase = Fit.TABLE_ENOUGH_AT_MOST if used is None else Fit.TABLE_ENOUGH
        return Reason(rule, Verdict.CLEAN, phrase.of(build=name, limit=limit, what=what, used=most))
    if used is None:
        why = Fit.TABLE_UNSAID.of(what=what, build=name, limit=limit, n=most)
        return Reason(rule, Verdict.UNTESTED, why)
    why = Fit.TABLE_SHORT.of(build=name, limit=limit, what=what, used=used, over=used - limit)
    return Reason(rule, Verdict.PARTLY, why, uncounted=used - limit)


def _security_mode(case: Case) -> Reason:
    mode, modes, name = case.needs.security_mode, case.build.security_modes, case.build.name
    if mode is None:
        return Reason("security mode", Verdict.UNTESTED, Fit.TRUST_UNSAID.of())
    if modes is None:
        return Reason("security mode", Verdict.UNTESTED, Fit.TRUST_UNKNOWN.of(build=name))
    if mode in modes:
        return Reason("security mode", Verdict.CLEAN, Fit.TRUST_CAN.of(build=name, mode=thing(mode)))
    return Reason("security mode", Verdict.NO, Fit.TRUST_CANNOT.of(build=name, mode=thing(mode)))


def _stack_revision(case: Case) -> Reason:
    was, will_be = case.source.stack_revision, case.build.stack_revision
    if was is None or will_be is None:
        unknown = case.source.name if was is None else case.build.name
        return Reason("stack revision", Verdict.UNTESTED, Fit.REVISION_UNKNOWN.of(build=unknown))
    if will_be >= was:
        return Reason("stack revision", Verdict.CLEAN, Fit.REVISION_FOLLOWS.of(after=will_be, before=was))
    if case.record.passes:
        why = Fit.REVISION_BACK_PASSED.of(before=was, after=will_be)
        return Reason("stack revision", Verdict.CONVERTS, why)
    return Reason("stack revision", Verdict.UNTESTED, Fit.REVISION_BACK.of(before=was, after=will_be))


def _firmware(case: Case) -> Reason:
    name, state = case.build.name, case.build.firmware_state
    if state is FirmwareState.BARRED:
        return Reason("firmware", Verdict.NO, Fit.FIRMWARE_BARRED.of(build=name))
    if state is None:
        return Reason("firmware", Verdict.UNTESTED, Fit.FIRMWARE_NO_POLICY.of(build=name))
    if state in (FirmwareState.ALLOWED, FirmwareState.PREFERRED):
        return Reason("firmware", Verdict.CLEAN, Fit.FIRMWARE_IS.of(build=name, policy=thing(state)))
    return Reason("firmware", Verdict.UNTESTED, Fit.FIRMWARE_STANDS.of(build=name, policy=thing(state)))


def _driver(case: Case) -> Reason:
    build, source, controller = case.build, case.source, case.controller
    if build.connection is None or build.family is None:
        return Reason("driver", Verdict.UNTESTED, Fit.DRIVER_UNKNOWN.of(build=build.name))
    if (build.connection, build.family) == (source.connection, source.family):
        return Reason("driver", Verdict.CLEAN, Fit.DRIVER_SAME.of())
    if controller.connections is None or controller.families is None:
        return Reason("driver", Verdict.UNTESTED, Fit.DRIVERS_UNKNOWN.of())
    values: dict[str, Value] = {"family": build.family, "connection": thing(build.connection)}
    if build.connection in controller.connections and build.family in controller.families:
        return Reason("driver", Verdict.CONVERTS, Fit.DRIVER_SET.of(**values))
    return Reason("driver", Verdict.NO, Fit.DRIVER_NONE.of(**values))


def _power(case: Case) -> Reason:
    wanted, build = case.needs.power_dbm, case.build
    if wanted is None:
        return Reason("power", Verdict.UNTESTED, Fit.POWER_UNSAID.of())
    if build.max_power_dbm is None or build.power_settable is None:
        return Reason("power", Verdict.UNTESTED, Fit.POWER_UNKNOWN.of(build=build.name, dbm=wanted))
    if build.max_power_dbm < wanted:
        why = Fit.POWER_SHORT.of(build=build.name, most=build.max_power_dbm, dbm=wanted)
        return Reason("power", Verdict.CONVERTS, why)
    if not build.power_settable:
        return Reason("power", Verdict.CONVERTS, Fit.POWER_BY_HAND.of(build=build.name, dbm=wanted))
    return Reason("power", Verdict.CLEAN, Fit.POWER_CAN.of(build=build.name, dbm=wanted))


def _tried(case: Case) -> Reason:
    record = case.record
    source, target = case.source.name, case.build.name
    if record.trials == 0:
        return Reason("record", Verdict.UNTESTED, Fit.TRIED_NEVER.of(source=source, target=target))
    if record.passes == 0:
        why = Fit.TRIED_FAILED.of(source=source, target=target, trials=record.trials)
        return Reason("record", Verdict.NO, why)
    share = Decimal(f"{record.lower_bound * 100:.1f}".removesuffix(".0"))
    why = Fit.TRIED.of(source=source, target=target, passes=record.passes, trials=record.trials, share=share)
    return Reason("record", Verdict.CLEAN, why)


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
