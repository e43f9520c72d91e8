from dataclasses import replace

import pytest

from fleet.planning.capabilities import (
    AddressPolicy,
    BuildFacts,
    Connection,
    ControllerFacts,
    FirmwareState,
    LinkKeyStore,
    MeshNeeds,
    NodeLink,
    RadioFacts,
    needs_of,
)
from fleet.planning.compatibility import Compatibility, PairRecord, Verdict, judge
from fleet.planning.rates import RateError
from fleet.snapshots.facts import LinkKeyKind, NodeFacts, Power, SecurityMode, SnapshotFacts, TableUse

HEAD = "02A4C138F00D0011"
ALDER = BuildFacts(
    model="Alder A2",
    firmware="6.10",
    family="P",
    firmware_state=FirmwareState.PREFERRED,
    connection=Connection.SERIAL,
    address_policy=AddressPolicy.REWRITABLE,
    channel_pages=frozenset({0}),
    channels=frozenset(range(11, 26)),
    reduced_channels=frozenset({26}),
    max_power_dbm=10,
    power_settable=True,
    network_key_settable=True,
    key_sequence_settable=True,
    counter_settable=True,
    pan_id_settable=True,
    extended_pan_id_settable=True,
    link_keys=LinkKeyStore.EXPLICIT,
    limits=TableUse(children=32, routes=60, link_keys=100, bindings=20),
    green_power_sinks=5,
    stack_revision=22,
    security_modes=frozenset({SecurityMode.CENTRAL}),
)
SOURCE = RadioFacts("ALDER-1", ALDER, "02A4C138F00D0001", HEAD)
TARGET = RadioFacts("ALDER-2", ALDER, "02A4C138F00D0002")
LAMP = NodeLink("02A4C138F00D1001", LinkKeyKind.UNIQUE, True)
LOCK = NodeLink("02A4C138F00D1002", LinkKeyKind.INSTALL_CODE, True)
PLUG = NodeLink("02A4C138F00D1003", LinkKeyKind.PUBLIC, False)
SENSOR = NodeLink("02A4C138F00D1004", LinkKeyKind.DERIVED, False)
NEEDS = MeshNeeds(
    head_address=HEAD,
    channel=15,
    key_sequence=0,
    power_dbm=8,
    security_mode=SecurityMode.CENTRAL,
    used=TableUse(children=2, routes=3, link_keys=2, bindings=4),
    links=(LAMP, LOCK, PLUG),
)
TRIED = PairRecord(trials=30, passes=28)


def judged(
    needs=NEEDS, source=SOURCE, target=TARGET, controller=None, record=TRIED, **build
) -> Compatibility:
    target = replace(target, build=replace(target.build, **build))
    return judge(source, target, needs, controller, record)


def reason_of(found: Compatibility, rule: str) -> str:
    return next(reason.text for reason in found.reasons if reason.rule == rule)


def test_a_tried_pair_of_equal_builds_is_clean():
    assert judged().verdict is Verdict.CLEAN


def test_every_rule_prints_its_reason():
    reasons = judged().reasons
    assert len({reason.rule for reason in reasons}) == 19
    assert all(reason.text.endswith(".") for reason in reasons)


BUILD_CASES = [
    ("channel", {"channels": frozenset({11})}, Verdict.NO),
    ("channel", {"channels": frozenset({11}), "reduced_channels": frozenset({15})}, Verdict.CONVERTS),
    ("channel", {"channels": None}, Verdict.UNTESTED),
    ("channel", {"channel_pages": frozenset({28})}, Verdict.NO),
    ("channel", {"channel_pages": None}, Verdict.UNTESTED),
    ("address", {"address_policy": AddressPolicy.FIXED}, Verdict.NO),
    ("address", {"address_policy": AddressPolicy.WRITE_ONCE}, Verdict.UNTESTED),
    ("address", {"address_policy": None}, Verdict.UNTESTED),
    ("network key", {"network_key_settable": False}, Verdict.NO),
    ("network key", {"network_key_settable": None}, Verdict.UNTESTED),
    ("key sequence", {"key_sequence_settable": None}, Verdict.UNTESTED),
    ("counter", {"counter_settable": False}, Verdict.NO),
    ("counter", {"counter_settable": None}, Verdict.UNTESTED),
    ("PAN ID", {"pan_id_settable": False}, Verdict.NO),
    ("extended PAN ID", {"extended_pan_id_settable": False}, Verdict.NO),
    ("extended PAN ID", {"extended_pan_id_settable": None}, Verdict.UNTESTED),
    ("link keys", {"link_keys": LinkKeyStore.DERIVED}, Verdict.PARTLY),
    ("link keys", {"link_keys": None}, Verdict.UNTESTED),
    ("link key table", {"limits": replace(ALDER.limits, link_keys=1)}, Verdict.PARTLY),
    ("link key table", {"limits": replace(ALDER.limits, link_keys=None)}, Verdict.UNTESTED),
    ("child table", {"limits": replace(ALDER.limits, children=1)}, Verdict.PARTLY),
    ("route table", {"limits": replace(ALDER.limits, routes=2)}, Verdict.PARTLY),
    ("binding table", {"limits": replace(ALDER.limits, bindings=3)}, Verdict.PARTLY),
    ("binding table", {"limits": replace(ALDER.limits, bindings=None)}, Verdict.UNTESTED),
    ("stack revision", {"stack_revision": 23}, Verdict.CLEAN),
    ("stack revision", {"stack_revision": 21}, Verdict.CONVERTS),
    ("stack revision", {"stack_revision": None}, Verdict.UNTESTED),
    ("security mode", {"security_modes": frozenset({SecurityMode.DISTRIBUTED})}, Verdict.NO),
    ("security mode", {"security_modes": None}, Verdict.UNTESTED),
    ("firmware", {"firmware_state": FirmwareState.ALLOWED}, Verdict.CLEAN),
    ("firmware", {"firmware_state": FirmwareState.BARRED}, Verdict.NO),
    ("firmware", {"firmware_state": FirmwareState.HOLD}, Verdict.UNTESTED),
    ("firmware", {"firmware_state": FirmwareState.TRIAL}, Verdict.UNTESTED),
    ("firmware", {"firmware_state": FirmwareState.SEEN}, Verdict.UNTESTED),
    ("firmware", {"firmware_state": None}, Verdict.UNTESTED),
    ("driver", {"family": "Q"}, Verdict.UNTESTED),
    ("driver", {"connection": None}, Verdict.UNTESTED),
    ("power", {"max_power_dbm": 5}, Verdict.CONVERTS),
    ("power", {"power_settable": False}, Verdict.CONVERTS),
    ("power", {"power_settable": None}, Verdict.UNTESTED),
]


@pytest.mark.parametrize(("rule", "build", "verdict"), BUILD_CASES)
def test_one_changed_fact_of_the_target_gives_its_rules_verdict(rule, build, verdict):
    found = judged(**build)
    assert found.verdict is verdict
    assert {reason.rule for reason in found.reasons if reason.verdict is not Verdict.CLEAN} <= {rule}


NEEDS_CASES = [
    ("channel", {"channel": 26}, Verdict.CONVERTS),
    ("channel", {"channel_page": 28}, Verdict.NO),
    ("link keys", {"links": (replace(LAMP, kind=None),)}, Verdict.UNTESTED),
    ("link keys", {"links": (replace(LAMP, key_held=False),)}, Verdict.PARTLY),
    ("link keys", {"links": (SENSOR,), "seed_held": True}, Verdict.CONVERTS),
    ("link keys", {"links": (SENSOR,), "seed_held": False}, Verdict.PARTLY),
    ("link keys", {"links": (replace(SENSOR, key_held=True),)}, Verdict.CONVERTS),
    ("binding table", {"used": replace(NEEDS.used, bindings=None)}, Verdict.UNTESTED),
    ("child table", {"used": replace(NEEDS.used, children=None)}, Verdict.CLEAN),
    ("green power", {"harvesting_nodes": 5}, Verdict.CLEAN),
    ("green power", {"harvesting_nodes": 6}, Verdict.PARTLY),
    ("security mode", {"security_mode": None}, Verdict.UNTESTED),
    ("power", {"power_dbm": None}, Verdict.UNTESTED),
]


@pytest.mark.parametrize(("rule", "needs", "verdict"), NEEDS_CASES)
def test_one_changed_need_of_the_mesh_gives_its_rules_verdict(rule, needs, verdict):
    found = judged(replace(NEEDS, **needs))
    assert found.verdict is verdict
    assert {reason.rule for reason in found.reasons if reason.verdict is not Verdict.CLEAN} <= {rule}


@pytest.mark.parametrize(
    ("written", "verdict"), [(False, Verdict.CLEAN), (True, Verdict.NO), (None, Verdict.UNTESTED)]
)
def test_a_write_once_address_can_be_written_once(written, verdict):
    target = replace(TARGET, address_written=written)
    assert judged(target=target, address_policy=AddressPolicy.WRITE_ONCE).verdict is verdict


def test_a_radio_that_carries_the_head_address_already_need_not_be_written():
    target = replace(TARGET, carried_address=HEAD, address_written=True)
    assert judged(target=target, address_policy=AddressPolicy.WRITE_ONCE).verdict is Verdict.CLEAN


def test_a_sequence_that_cannot_be_set_does_no_harm_at_0():
    assert judged(key_sequence_settable=False).verdict is Verdict.CLEAN


def test_a_sequence_that_cannot_be_set_shuts_out_a_mesh_at_3():
    assert judged(replace(NEEDS, key_sequence=3), key_sequence_settable=False).verdict is Verdict.NO


def test_the_devices_to_join_again_are_listed_by_address():
    found = judged(link_keys=LinkKeyStore.DERIVED)
    assert found.devices == (LAMP.extended_address, LOCK.extended_address)
    assert found.rejoin_count == 2


def test_seed_to_seed_carries_derived_keys_over():
    needs = replace(NEEDS, links=(SENSOR, PLUG), seed_held=True)
    assert judged(needs, link_keys=LinkKeyStore.DERIVED).verdict is Verdict.CLEAN


def test_a_seed_that_is_not_held_strands_derived_keys():
    needs = replace(NEEDS, links=(SENSOR, PLUG), seed_held=False)
    assert judged(needs, link_keys=LinkKeyStore.DERIVED).devices == (SENSOR.extended_address,)


def test_under_distributed_trust_no_link_key_is_asked_for():
    needs = replace(NEEDS, links=(replace(LAMP, kind=None),), security_mode=SecurityMode.DISTRIBUTED)
    assert judged(needs, security_modes=frozenset(SecurityMode)).verdict is Verdict.CLEAN


def test_what_overflows_a_table_is_counted():
    found = judged(replace(NEEDS, used=replace(NEEDS.used, link_keys=103)))
    assert found.rejoin_count == 3
    assert reason_of(found, "link key table") == (
        "Alder A2 6.10 holds 100 link keys, the mesh uses 103; 3 must be joined again."
    )


def test_an_unstated_use_may_be_every_device():
    links = tuple(NodeLink(f"02A4C138F00D2{n:03}", LinkKeyKind.PUBLIC, False) for n in range(33))
    used = replace(NEEDS.used, children=None)
    found = judged(replace(NEEDS, links=links, used=used))
    assert found.verdict is Verdict.UNTESTED


def test_another_family_that_the_controller_drives_converts():
    controller = ControllerFacts(frozenset({Connection.NETWORK}), frozenset({"R"}))
    found = judged(controller=controller, family="R", connection=Connection.NETWORK)
    assert found.verdict is Verdict.CONVERTS
    assert found.because == "Set the controller to family R on a network connection."


def test_a_family_without_a_driver_cannot_take_over():
    controller = ControllerFacts(frozenset({Connection.SERIAL}), frozenset({"P"}))
    assert judged(controller=controller, family="R").verdict is Verdict.NO


@pytest.mark.parametrize(
    ("trials", "passes", "verdict"),
    [(0, 0, Verdict.UNTESTED), (3, 0, Verdict.NO), (1, 1, Verdict.CLEAN), (50, 47, Verdict.CLEAN)],
)
def test_the_record_of_a_pair_counts(trials, passes, verdict):
    assert judged(record=PairRecord(trials, passes)).verdict is verdict


def test_a_pair_without_a_record_is_never_clean():
    assert judge(SOURCE, TARGET, NEEDS).verdict is Verdict.UNTESTED


def test_the_record_says_its_lower_bound():
    found = judged()
    assert reason_of(found, "record") == (
        "From Alder A2 6.10 to Alder A2 6.10, 28 of 30 tries passed: at least 80.5 % at 95 % confidence."
    )


def test_a_record_with_more_passes_than_trials_is_refused():
    with pytest.raises(RateError, match="3 passes in 2 trials"):
        judged(record=PairRecord(2, 3))


def test_going_back_a_revision_that_was_never_tried_is_untested():
    reasons = judged(record=PairRecord(), stack_revision=21).reasons
    assert next(each for each in reasons if each.rule == "stack revision").verdict is Verdict.UNTESTED


def test_the_worst_verdict_wins():
    found = judged(record=PairRecord(), link_keys=LinkKeyStore.DERIVED, counter_settable=False)
    assert found.verdict is Verdict.NO


def test_untested_outweighs_partly_but_keeps_the_list():
    found = judged(record=PairRecord(), link_keys=LinkKeyStore.DERIVED)
    assert (found.verdict, found.rejoin_count) == (Verdict.UNTESTED, 2)


def test_a_verdict_is_not_symmetric():
    rewritable = replace(SOURCE, build=replace(ALDER, stack_revision=22))
    once = RadioFacts("BIRCH-1", replace(ALDER, address_policy=AddressPolicy.FIXED), HEAD)
    there = judge(rewritable, once, replace(NEEDS, head_address="02A4C138F00D0001"), record=TRIED)
    back = judge(once, rewritable, replace(NEEDS, head_address="02A4C138F00D0001"), record=TRIED)
    assert (there.verdict, back.verdict) == (Verdict.NO, Verdict.CLEAN)


def test_a_radio_of_which_nothing_is_known_is_untested():
    bare = RadioFacts("BARE-1", BuildFacts("Cedar C3", "1.0"))
    assert judge(SOURCE, bare, NEEDS, record=TRIED).verdict is Verdict.UNTESTED


def test_a_snapshots_needs_hold_no_key():
    key = bytes(range(16))
    nodes = (
        NodeFacts(LAMP.extended_address, link_key_kind=LinkKeyKind.UNIQUE, link_key=key),
        NodeFacts(LOCK.extended_address, link_key_kind=LinkKeyKind.INSTALL_CODE, power=Power.HARVESTED),
    )
    snapshot = SnapshotFacts(
        head_address=HEAD,
        extended_pan_id="02A4C138F00D00FF",
        pan_id=0x1A2B,
        channel=15,
        network_key=key,
        key_sequence=4,
        outgoing_counter=1_463_120,
        link_key_seed=key,
        nodes=nodes,
    )
    assert needs_of(snapshot) == MeshNeeds(
        head_address=HEAD,
        channel=15,
        key_sequence=4,
        links=(LAMP, replace(LOCK, key_held=False)),
        seed_held=True,
        harvesting_nodes=1,
    )
