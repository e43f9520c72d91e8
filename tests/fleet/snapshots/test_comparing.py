"""What changed between two copies, and what it means for the older ones (C4)."""

from dataclasses import replace

import pytest

from fleet.snapshots import own_layout
from fleet.snapshots.comparing import (
    MeshFact,
    NodeChange,
    OlderCopies,
    compare,
    eight_bit_step,
    jaccard,
)
from fleet.snapshots.facts import NodeFacts, Role, SnapshotFacts
from tests.fleet.snapshots import making

MESH = own_layout.read(making.document(seed=5, nodes=8))
LAMP = NodeFacts(
    "02B0F1EE00000001",
    short_address=0x1A2B,
    role=Role.ROUTER,
    parent=MESH.head_address,
    link_key=b"k" * 16,
)
PLUG = NodeFacts("02B0F1EE00000002", short_address=0x1A2C, role=Role.ROUTER)


def mesh_of(*nodes: NodeFacts, **changes: object) -> SnapshotFacts:
    return replace(MESH, nodes=nodes, **changes)


def test_equal_copies_differ_in_nothing():
    difference = compare(MESH, MESH)
    assert difference.mesh == ()
    assert (difference.appeared, difference.vanished, difference.key_missing) == ((), (), ())
    assert (difference.in_common, difference.jaccard) == (8, 1.0)
    assert difference.older_copies is OlderCopies.UNTOUCHED


def test_the_order_of_rows_is_no_difference():
    assert compare(MESH, replace(MESH, nodes=MESH.nodes[::-1])) == compare(MESH, MESH)


def test_nodes_appear_and_vanish_by_their_address():
    difference = compare(mesh_of(LAMP), mesh_of(PLUG))
    assert (difference.appeared, difference.vanished) == (("02B0F1EE00000002",), ("02B0F1EE00000001",))
    assert difference.jaccard == 0.0


def test_a_new_short_address_is_not_a_new_node():
    difference = compare(mesh_of(LAMP), mesh_of(replace(LAMP, short_address=0x0F00)))
    assert difference.readdressed == (NodeChange("02B0F1EE00000001", "0x1A2B", "0x0F00"),)
    assert (difference.appeared, difference.vanished) == ((), ())


def test_a_new_parent_is_named():
    difference = compare(mesh_of(LAMP), mesh_of(replace(LAMP, parent="02B0F1EE00000002")))
    (change,) = difference.reparented
    assert (change.address, change.after) == ("02B0F1EE00000001", "02B0 F1EE 0000 0002")


def test_a_new_role_is_named():
    difference = compare(mesh_of(LAMP), mesh_of(replace(LAMP, role=Role.END_DEVICE)))
    assert difference.role_changed == (NodeChange("02B0F1EE00000001", "router", "end_device"),)


def test_a_changed_link_key_is_named_and_not_shown():
    difference = compare(mesh_of(LAMP), mesh_of(replace(LAMP, link_key=b"n" * 16)))
    assert difference.key_changed == ("02B0F1EE00000001",)
    assert "kkkk" not in repr(difference)


def test_a_link_key_that_is_gone_is_missing():
    difference = compare(mesh_of(LAMP), mesh_of(replace(LAMP, link_key=None)))
    assert (difference.key_missing, difference.key_changed) == (("02B0F1EE00000001",), ())


def test_a_link_key_that_is_there_at_last_is_added():
    difference = compare(mesh_of(replace(LAMP, link_key=None)), mesh_of(LAMP))
    assert (difference.key_added, difference.key_missing) == (("02B0F1EE00000001",), ())


def test_another_link_key_seed_casts_doubt_and_is_not_shown():
    seeded = replace(MESH, link_key_seed=b"s" * 16)
    (change,) = compare(seeded, replace(MESH, link_key_seed=b"t" * 16)).mesh
    assert (change.fact, change.older_copies) == (MeshFact.LINK_KEY_SEED, OlderCopies.SUSPECT)
    assert (change.before, change.after) == ("(hidden)", "(hidden)")


def test_a_seed_that_one_copy_does_not_hold_is_no_difference():
    assert compare(MESH, replace(MESH, link_key_seed=b"s" * 16)).mesh == ()


def test_a_device_that_changed_twice_counts_once():
    moved = replace(LAMP, short_address=0x0F00, link_key=b"n" * 16)
    assert compare(mesh_of(LAMP, PLUG), mesh_of(moved, PLUG)).changed == {"02B0F1EE00000001"}


def test_what_one_copy_does_not_state_is_no_difference():
    bare = NodeFacts("02B0F1EE00000001", link_key=b"k" * 16)
    difference = compare(mesh_of(LAMP), mesh_of(bare))
    assert (difference.readdressed, difference.reparented, difference.role_changed) == ((), (), ())


@pytest.mark.parametrize(
    ("changes", "facts", "verdict"),
    [
        ({"network_key": b"n" * 16}, [MeshFact.NETWORK_KEY], OlderCopies.LOCKED_OUT),
        ({"key_sequence": MESH.key_sequence ^ 1}, [MeshFact.KEY_SEQUENCE], OlderCopies.LOCKED_OUT),
        ({"extended_pan_id": "02D1CE0000000009"}, [MeshFact.EXTENDED_PAN_ID], OlderCopies.OF_ANOTHER_MESH),
        ({"head_address": "02A4C13800000009"}, [MeshFact.HEAD_ADDRESS], OlderCopies.OF_ANOTHER_MESH),
        ({"channel": MESH.channel ^ 1}, [MeshFact.CHANNEL], OlderCopies.NEED_RETUNING),
        ({"pan_id": MESH.pan_id ^ 1}, [MeshFact.PAN_ID], OlderCopies.NEED_RETUNING),
        ({"outgoing_counter": MESH.outgoing_counter - 1}, [MeshFact.COUNTER], OlderCopies.SUSPECT),
        ({"outgoing_counter": MESH.outgoing_counter + 1}, [], OlderCopies.UNTOUCHED),
        (
            {"network_key": b"n" * 16, "outgoing_counter": 0},
            [MeshFact.NETWORK_KEY],
            OlderCopies.LOCKED_OUT,
        ),
    ],
    ids=lambda value: next(iter(value), "none") if isinstance(value, dict) else None,
)
def test_each_change_of_the_mesh_has_its_verdict_on_older_copies(
    changes: dict[str, object], facts: list[MeshFact], verdict: OlderCopies
):
    difference = compare(MESH, replace(MESH, **changes))
    assert [change.fact for change in difference.mesh] == facts
    assert difference.older_copies is verdict


def test_the_gravest_verdict_counts():
    changed = replace(MESH, channel=MESH.channel ^ 1, network_key=b"n" * 16)
    assert compare(MESH, changed).older_copies is OlderCopies.LOCKED_OUT


def test_a_key_change_shows_no_key():
    (change,) = compare(MESH, replace(MESH, network_key=b"n" * 16)).mesh
    assert (change.before, change.after) == ("(hidden)", "(hidden)")


def test_a_sequence_past_255_goes_on():
    older, newer = replace(MESH, key_sequence=255), replace(MESH, key_sequence=0)
    (change,) = compare(older, newer).mesh
    assert change.meaning == "the key sequence went on by 1"


def test_a_channel_change_with_raised_update_id_is_announced():
    older = replace(MESH, update_id=255, channel=15)
    changes = compare(older, replace(older, update_id=0, channel=20)).mesh
    assert [change.fact for change in changes] == [MeshFact.CHANNEL, MeshFact.UPDATE_ID]
    assert "not raised" not in changes[0].meaning


def test_a_channel_change_without_raised_update_id_says_so():
    older = replace(MESH, update_id=9, channel=15)
    (change,) = compare(older, replace(older, channel=20)).mesh
    assert "the update id was not raised" in change.meaning


def test_an_update_id_that_goes_back_makes_copies_suspect():
    older = replace(MESH, update_id=9)
    assert compare(older, replace(older, update_id=8)).older_copies is OlderCopies.SUSPECT


@pytest.mark.parametrize(
    ("before", "after", "step"),
    [(0, 0, 0), (0, 1, 1), (255, 0, 1), (0, 255, -1), (0, 127, 127), (0, 128, -128)],
)
def test_eight_bit_numbers_wrap(before: int, after: int, step: int):
    assert eight_bit_step(before, after) == step


@pytest.mark.parametrize(
    ("one", "other", "share"),
    [("", "", 1.0), ("abcd", "abcd", 1.0), ("abcd", "abce", 0.6), ("ab", "cd", 0.0), ("", "a", 0.0)],
)
def test_jaccard_is_the_common_share(one: str, other: str, share: float):
    assert jaccard(set(one), set(other)) == share


def test_link_keys_are_symmetric_too():
    bare = replace(PLUG, link_key=None)
    one, other = mesh_of(LAMP, bare), mesh_of(replace(LAMP, link_key=None), replace(PLUG, link_key=b"p" * 16))
    there, back = compare(one, other), compare(other, one)
    assert (there.key_added, there.key_missing) == (back.key_missing, back.key_added)
    assert there.changed == back.changed == {LAMP.extended_address, PLUG.extended_address}


@pytest.mark.parametrize("seed", range(10))
def test_counts_are_symmetric(seed: int):
    one = own_layout.read(making.document(seed, nodes=20))
    other = replace(one, nodes=(*one.nodes[seed:], LAMP, PLUG))
    there, back = compare(one, other), compare(other, one)
    assert (there.appeared, there.vanished) == (back.vanished, back.appeared)
    assert (len(there.appeared), len(there.vanished), there.in_common) == (2, seed, 20 - seed)
