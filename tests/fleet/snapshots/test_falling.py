"""Counters that fall from one document of a mesh to the next."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from fleet.snapshots.facts import NodeFacts, SnapshotFacts
from fleet.snapshots.falling import Fall, fallen, in_order

NODE = NodeFacts("02A4C1380000A001", link_key=b"k" * 16, outgoing_counter=900)
FACTS = SnapshotFacts(
    head_address="02A4C138FFFE0001",
    extended_pan_id="D5C3B1A49786F5E4",
    pan_id=0x9F77,
    channel=15,
    network_key=b"n" * 16,
    key_sequence=3,
    outgoing_counter=70_000,
    taken_at=datetime(2027, 3, 1, tzinfo=UTC),
    nodes=(NODE,),
)


def later(**given) -> SnapshotFacts:
    return replace(FACTS, taken_at=FACTS.taken_at + timedelta(days=1), **given)


def test_a_lower_network_counter_under_the_same_key_has_fallen():
    assert fallen(FACTS, later(outgoing_counter=69_999)) == (Fall("", 70_000, 69_999),)


def test_a_new_key_or_key_sequence_starts_counters_anew():
    assert fallen(FACTS, later(outgoing_counter=5, network_key=b"o" * 16)) == ()
    assert fallen(FACTS, later(outgoing_counter=5, key_sequence=4)) == ()


def test_a_device_whose_counter_is_lower_is_named():
    node = replace(NODE, outgoing_counter=899)
    assert fallen(FACTS, later(nodes=(node,))) == (Fall(NODE.extended_address, 900, 899),)


def test_a_device_with_another_link_key_or_without_a_counter_has_not_fallen():
    assert fallen(FACTS, later(nodes=(replace(NODE, outgoing_counter=1, link_key=b"l" * 16),))) == ()
    assert fallen(FACTS, later(nodes=(replace(NODE, outgoing_counter=None),))) == ()


def test_documents_follow_each_other_by_their_time_mesh_by_mesh():
    other = replace(FACTS, extended_pan_id="AAAABBBBCCCCDDDD")
    assert list(in_order([later(), other, FACTS])) == [(2, 0)]


def test_documents_without_a_time_follow_each_other_as_given():
    assert list(in_order([later(), replace(FACTS, taken_at=None)])) == [(0, 1)]
