"""Two stored copies opened and held side by side."""

import json
from base64 import b64encode
from dataclasses import replace
from datetime import timedelta

import pytest

from fleet.models import Custody, Grade, How, Mesh, Snapshot
from fleet.queries.comparing import Comparison, comparison_of
from fleet.queries.device_changes import Happened
from fleet.queries.pairs import NoPair, offered, pair_of
from fleet.snapshots.comparing import MeshFact, OlderCopies
from fleet.snapshots.decoding import decode
from fleet.snapshots.fingerprint import layout_fingerprint
from fleet.snapshots.guides import from_json
from fleet.verbs.guides import confirm
from fleet.verbs.intake import Origin, receive
from fleet.verbs.repack import repack
from tests import make
from tests.documents import key, nodes
from tests.fleet.management.test_guide import GUIDE, foreign
from tests.fleet.taken import take

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture
def mesh() -> Mesh:
    return make.mesh(site=make.site(code="KELP-7"))


def compared(mesh: Mesh, old: Snapshot | None = None, new: Snapshot | None = None) -> Comparison:
    named = {name: str(copy.uid) for name, copy in (("old", old), ("new", new)) if copy}
    return comparison_of(mesh, *pair_of(mesh, **named))


def labels(found: Comparison, happened: Happened) -> list[str]:
    return [
        change.device.label
        for group in found.groups
        if group.happened is happened
        for change in group.changes
    ]


def test_the_newest_two_sound_copies_are_compared_unless_others_are_named(mesh):
    _, second, newest = (take(mesh, days) for days in (3, 2, 1))
    take(mesh, 0, outgoing_counter=5)  # fell, so it is held
    assert mesh.snapshots.get(grade=Grade.HELD)
    assert pair_of(mesh) == (second, newest)


def test_a_copy_that_is_named_alone_is_held_against_the_sound_one_before_it(mesh):
    first, second, _ = (take(mesh, days) for days in (3, 2, 1))
    assert pair_of(mesh, new=str(second.uid)) == (first, second)


def test_an_older_copy_that_is_named_alone_is_held_against_the_sound_one_after_it(mesh):
    _, second, third = (take(mesh, days) for days in (3, 2, 1))
    assert pair_of(mesh, old=str(second.uid)) == (second, third)


def test_copies_named_the_wrong_way_round_are_put_in_order(mesh):
    first, second = take(mesh, 2), take(mesh, 1)
    assert pair_of(mesh, old=str(second.uid), new=str(first.uid)) == (first, second)


@pytest.mark.parametrize(
    ("count", "why"), [(0, "has no sound copy so far"), (1, "has one sound copy so far; it takes two")]
)
def test_without_two_sound_copies_there_is_nothing_to_compare(mesh, count, why):
    for days in range(count):
        take(mesh, days)
    with pytest.raises(NoPair, match=why):
        pair_of(mesh)


def test_the_first_copy_has_none_before_it(mesh):
    first = take(mesh, 2)
    with pytest.raises(NoPair, match="no sound copy before"):
        pair_of(mesh, new=str(first.uid))


def test_one_copy_is_not_compared_with_itself(mesh):
    uid = str(take(mesh, 1).uid)
    with pytest.raises(NoPair, match="one and the same copy"):
        pair_of(mesh, old=uid, new=uid)


def test_a_copy_of_another_mesh_is_no_copy_of_this_one(mesh):
    other = take(make.mesh(), 1)
    with pytest.raises(NoPair, match="is no copy of KELP-7-A"):
        pair_of(mesh, old=str(other.uid))


def test_what_was_typed_in_place_of_a_copy_is_not_said_again(mesh):
    secret = key("pasted by mistake").hex()
    with pytest.raises(NoPair) as refusal:
        pair_of(mesh, old=secret)
    assert secret not in str(refusal.value)


def test_erased_copies_are_not_offered(mesh):
    kept, erased = make.snapshot(mesh), make.snapshot(mesh, custody=Custody.GONE, gone_at=make.NOW)
    assert (kept in offered(mesh), erased in offered(mesh)) == (True, False)


def test_devices_that_joined_and_left_are_named(mesh):
    take(mesh, 2, nodes=nodes(12))
    take(mesh, 1, nodes=nodes(13)[1:])
    found = compared(mesh)
    assert (labels(found, Happened.APPEARED), labels(found, Happened.VANISHED)) == (["thing 12"], ["thing 0"])


def test_the_name_that_a_person_gave_comes_before_the_documents(mesh):
    take(mesh, 2, nodes=nodes(12))
    take(mesh, 1, nodes=nodes(13))
    mesh.nodes.filter(label="thing 12").update(label="smoke alarm", room="attic", safety_kind="smoke")
    ((change,),) = (group.changes for group in compared(mesh).groups)
    assert (change.device.label, change.device.room, change.device.safety) == (
        "smoke alarm",
        "attic",
        "smoke alarm",
    )


def test_devices_stand_by_room_and_number_and_those_without_a_name_last(mesh):
    take(mesh, 2, nodes=nodes(25))
    named = [("", ""), ("lamp 10", "hall"), ("lamp 2", "hall"), ("door", "Attic"), ("stray", "")]
    rows = zip(nodes(5, first=0x5000), named, strict=True)
    joined = tuple(replace(node, label=label, room=room) for node, (label, room) in rows)
    take(mesh, 1, nodes=(*nodes(25), *joined))
    assert labels(compared(mesh), Happened.APPEARED) == ["door", "lamp 2", "lamp 10", "stray", ""]


def test_a_parent_is_told_by_its_name_and_the_head_radio_by_its_part(mesh):
    before = nodes(3)
    router = before[0].extended_address
    old = (before[0], replace(before[1], parent=mesh.head_address), before[2])
    new = (before[0], replace(before[1], parent=router), before[2])
    take(mesh, 2, nodes=old)
    take(mesh, 1, nodes=new)
    ((change,),) = (group.changes for group in compared(mesh).groups)
    assert (change.before.name, change.after.name) == ("head radio", "thing 0")
    assert change.after.text.replace(" ", "") == router


def test_a_changed_network_key_is_told_by_its_mark_before_and_after(mesh):
    old = take(mesh, 2)
    new = take(mesh, 1, network_key=key("new"), key_sequence=1, outgoing_counter=9)
    change = compared(mesh).mesh[0]
    assert (change.fact, change.older_copies) == (MeshFact.NETWORK_KEY, OlderCopies.LOCKED_OUT)
    assert (change.before, change.after) == (f"mark {old.key_mark}", f"mark {new.key_mark}")


def test_a_copy_that_is_locked_out_is_compared_all_the_same(mesh):
    old = take(mesh, 2)
    take(mesh, 1, network_key=key("new"), key_sequence=1, outgoing_counter=9)
    old.refresh_from_db()
    assert old.currency == "locked_out"
    assert compared(mesh).difference.older_copies is OlderCopies.LOCKED_OUT


def test_a_held_copy_shows_why_against_the_one_before(mesh):
    take(mesh, 2)
    held = take(mesh, 1, outgoing_counter=5)
    found = compared(mesh, new=held)
    assert held.grade == Grade.HELD
    assert [change.fact for change in found.mesh] == [MeshFact.COUNTER]


def test_no_key_leaves_the_query(mesh):
    take(mesh, 2, nodes=nodes(12))
    take(mesh, 1, nodes=nodes(13), network_key=key("new"), key_sequence=1, outgoing_counter=9)
    found = compared(mesh)
    said = f"{found!r}{found.difference!r}{found.groups!r}".upper()
    for secret in (key(mesh.code), key("new"), *(node.link_key for node in nodes(13))):
        assert secret.hex().upper() not in said
        assert b64encode(secret).decode().upper() not in said
        assert str(list(secret)) not in said
        assert repr(secret).upper() not in said


def test_copies_of_two_layouts_are_compared_by_what_they_mean(mesh):
    take(mesh, 2, outgoing_counter=1_000_000)
    confirm_guide(mesh)
    receipt = receive(mesh, foreign(mesh), Origin(How.PUSH, "controller"), make.NOW)
    found = compared(mesh)
    assert found.new == receipt.snapshot
    assert found.new.guide is not None
    assert found.old.guide is None
    assert found.difference.in_common == 12
    assert (found.groups, found.mesh) == ((), ())


def confirm_guide(mesh: Mesh) -> None:
    fingerprint = layout_fingerprint(decode(foreign(mesh)))
    confirm(from_json(json.dumps(GUIDE)), fingerprint, "Orla", make.NOW)


def test_an_erased_copy_is_named_with_the_reason(mesh):
    gone, kept = take(mesh, 2), take(mesh, 1)
    gone.sealed_body.delete()
    mesh.snapshots.filter(pk=gone.pk).update(
        custody=Custody.GONE, gone_at=make.NOW, gone_because="Keep rule usual"
    )
    found = compared(mesh, gone, kept)
    ((copy, why),) = ((each.copy, each.why) for each in found.unopened)
    assert (copy, why) == (gone, "It was erased. Keep rule usual.")
    assert (found.difference, found.groups) == (None, ())


def test_a_damaged_copy_is_named(mesh):
    damaged = take(mesh, 2)
    kept = take(mesh, 1)
    body = damaged.sealed_body
    octets = bytearray(bytes(body.sealed))
    octets[len(octets) // 2] ^= 1
    body.sealed = bytes(octets)
    body.save(update_fields=["sealed"])
    (only,) = compared(mesh, damaged, kept).unopened
    assert only.copy == damaged
    assert only.why.startswith("It does not open: ")


def test_a_copy_whose_octets_are_not_here_is_named(mesh):
    take(mesh, 1)
    lost = make.snapshot(mesh, taken_at=make.NOW)
    (only,) = compared(mesh, new=lost).unopened
    assert only.why == "Its sealed octets are not in the book."


def test_a_client_whose_key_was_destroyed_has_nothing_left_to_compare(mesh):
    take(mesh, 2)
    take(mesh, 1)
    data_key = mesh.site.client.data_key
    data_key.wrapped, data_key.destroyed_at = None, make.NOW
    data_key.save()
    assert len(compared(mesh).unopened) == 2


def test_a_key_ring_that_lacks_the_key_is_named(mesh, settings):
    take(mesh, 2)
    take(mesh, 1)
    settings.KEYRING_FILE = settings.KEYRING_FILE.with_name("another.json")
    assert all("The key ring has no key named" in each.why for each in compared(mesh).unopened)
    assert len(compared(mesh).unopened) == 2


def test_a_mesh_that_changed_beyond_recognition_is_doubtful(mesh):
    take(mesh, 2, nodes=nodes(20))
    take(mesh, 1, nodes=nodes(20, first=0x9000))
    found = comparison_of(mesh, *mesh.snapshots.order_by("taken_at"))
    assert found.is_doubtful


def test_a_mesh_that_lost_one_of_twenty_is_not_doubtful(mesh):
    take(mesh, 2, nodes=nodes(20))
    take(mesh, 1, nodes=nodes(20)[1:])
    assert not compared(mesh).is_doubtful


@pytest.mark.parametrize("count", [12, 250])
def test_comparing_takes_two_statements_whatever_the_mesh_holds(mesh, django_assert_num_queries, count):
    take(mesh, 2, nodes=nodes(count))
    take(mesh, 1, nodes=nodes(count, first=0x1001))
    with django_assert_num_queries(2):  # the newest two with their octets, names
        comparison_of(mesh, *pair_of(mesh))


def test_copies_packed_against_a_base_take_one_statement_more_each(mesh, django_assert_num_queries):
    for days in range(5, 0, -1):
        take(mesh, days)
    repack(mesh, make.NOW)
    oldest = mesh.snapshots.order_by("taken_at")[0]
    found = pair_of(mesh, old=str(oldest.uid))
    assert all(copy.sealed_body.base for copy in found)
    with django_assert_num_queries(5):  # two to find the pair, the base's copies twice, names
        comparison_of(mesh, *pair_of(mesh, old=str(oldest.uid)))
