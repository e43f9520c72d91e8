import json
from datetime import timedelta

import pytest

from fleet.models import (
    Arrival,
    CounterEvidence,
    Currency,
    DataKey,
    Grade,
    How,
    JournalEntry,
    Mesh,
    SealedBody,
    Snapshot,
    TrayItem,
    TrayReason,
)
from fleet.queries.sealed import open_body
from fleet.verbs.intake import Kind, Origin, receive
from tests import make
from tests.documents import document, facts, key, nodes

pytestmark = pytest.mark.django_db

PUSH = Origin(How.PUSH, "controller", "night.json")
DAY = timedelta(days=1)


@pytest.fixture
def mesh() -> Mesh:
    return make.mesh()


def take(mesh, body, now=make.NOW):
    return receive(mesh, body, PUSH, now)


def test_a_good_document_becomes_a_sound_snapshot(mesh):
    receipt = take(mesh, document(mesh))

    assert receipt.kind is Kind.STORED
    assert receipt.snapshot.grade == Grade.SEEN_LIVE
    assert receipt.snapshot.currency == Currency.FRESH
    assert receipt.findings == ()


def test_the_octets_come_back_exactly_as_they_came(mesh):
    body = document(mesh) + b"\n\n"

    receipt = take(mesh, body)

    assert open_body(receipt.snapshot.sealed_body) == body


def test_what_lies_sealed_shows_no_key(mesh):
    take(mesh, document(mesh))

    sealed = bytes(SealedBody.objects.get().sealed)
    for secret in (key(mesh.code), key("link 4096")):
        assert secret not in sealed
        assert secret.hex().encode() not in sealed


def test_the_same_octets_again_are_one_record_with_two_arrivals(mesh):
    body = document(mesh)
    first = take(mesh, body)

    second = take(mesh, body, make.NOW + DAY)

    assert second.kind is Kind.REPEATED
    assert second.snapshot == first.snapshot
    assert Snapshot.objects.count() == 1
    assert Arrival.objects.count() == 2
    assert SealedBody.objects.count() == 1


def test_the_same_meaning_in_other_octets_is_one_record_and_both_are_kept(mesh):
    body = document(mesh)
    other = json.dumps(json.loads(body), indent=3, sort_keys=True).replace("beef", "BEEF").encode()
    first = take(mesh, body)

    second = take(mesh, other)

    assert second.kind is Kind.REPEATED
    assert open_body(first.snapshot.sealed_body) == body
    assert open_body(Arrival.objects.get(sealed_body__isnull=False).sealed_body) == other


def test_a_sound_snapshot_changes_the_book(mesh):
    take(mesh, document(mesh, pan_id=0x2222, channel=25))

    mesh.refresh_from_db()
    assert (mesh.pan_id, mesh.channel, mesh.key_sequence) == (0x2222, 25, 0)
    assert mesh.nodes.filter(gone_since=None).count() == 12
    line = CounterEvidence.objects.get()
    assert (line.value, line.kind, line.landed_at) == (1_463_120, "snapshot", make.NOW)


def test_a_mesh_without_identity_takes_that_of_its_first_sound_snapshot():
    blank = make.mesh(extended_pan_id=None, head_address=None)

    take(blank, document(blank))

    blank.refresh_from_db()
    assert blank.head_address == "02A4C138F00D0001"
    assert blank.extended_pan_id == "02D1CE00F00D0001"


def test_a_blank_mesh_never_takes_the_identity_of_another(mesh):
    blank = make.mesh(extended_pan_id=None, head_address=None)

    receipt = take(blank, document(mesh))

    assert receipt.kind is Kind.TRAYED
    blank.refresh_from_db()
    assert blank.extended_pan_id is None


def test_a_node_that_is_gone_is_kept_with_the_day_and_comes_back(mesh):
    take(mesh, document(mesh), make.NOW)
    without_last = nodes(taken_at=make.NOW + DAY)[:-1]
    take(
        mesh,
        document(mesh, make.NOW + DAY, nodes=without_last, outgoing_counter=1_500_000),
        make.NOW + DAY,
    )
    gone = mesh.nodes.get(gone_since__isnull=False)
    assert gone.gone_since == make.NOW + DAY

    take(mesh, document(mesh, make.NOW + 2 * DAY, outgoing_counter=1_600_000), make.NOW + 2 * DAY)

    gone.refresh_from_db()
    assert gone.gone_since is None


def test_what_people_typed_about_a_node_survives_the_next_snapshot(mesh):
    take(mesh, document(mesh))
    node = mesh.nodes.order_by("pk").first()
    node.by_hand = "turn the knob"
    node.save()

    take(mesh, document(mesh, make.NOW + DAY, outgoing_counter=1_500_000), make.NOW + DAY)

    node.refresh_from_db()
    assert node.by_hand == "turn the knob"


def test_a_fallen_counter_is_held_and_changes_nothing(mesh):
    take(mesh, document(mesh))

    receipt = take(mesh, document(mesh, make.NOW + DAY, outgoing_counter=12, channel=25), make.NOW + DAY)

    assert receipt.snapshot.grade == Grade.HELD
    assert receipt.snapshot.currency == Currency.UNJUDGED
    assert "counter_fell" in [row.code for row in receipt.findings]
    mesh.refresh_from_db()
    assert mesh.channel == 20
    assert CounterEvidence.objects.count() == 1


def test_a_document_of_another_home_waits_in_the_tray_and_changes_nothing(mesh):
    other = make.mesh()
    take(mesh, document(mesh))

    receipt = take(mesh, document(other, make.NOW + DAY), make.NOW + DAY)

    assert receipt.kind is Kind.TRAYED
    assert receipt.tray_item.reason == TrayReason.WRONG_HOME
    assert mesh.snapshots.count() == 1


def test_the_receipt_never_names_the_home_that_a_strange_document_belongs_to(mesh):
    other = make.mesh()

    receipt = take(mesh, document(other))

    assert other.code not in str(receipt.problems)


def test_reversed_addresses_wait_in_the_tray(mesh):
    turned = bytes.fromhex(mesh.head_address)[::-1].hex().upper()
    turned_net = bytes.fromhex(mesh.extended_pan_id)[::-1].hex().upper()

    receipt = take(mesh, document(mesh, head_address=turned, extended_pan_id=turned_net))

    assert receipt.tray_item.reason == TrayReason.WRONG_HOME
    right, _, whose = receipt.problems[0]["expected"].partition(",")
    assert (right.replace(" ", ""), whose) == (mesh.head_address, f" as {mesh.code} has it")


def test_an_unreadable_document_is_kept_sealed_with_its_problems(mesh):
    receipt = take(mesh, b'{"sparebook": {"layout": "mesh-snapshot", "version": 1}, "taken": 7}')

    assert receipt.kind is Kind.TRAYED
    assert receipt.tray_item.reason == TrayReason.UNREADABLE
    assert any("taken" in problem["path"] for problem in receipt.problems)
    assert open_body(receipt.tray_item.sealed_body).endswith(b'"taken": 7}')


def test_an_unknown_layout_waits_in_the_tray(mesh):
    receipt = take(mesh, b'{"devices": []}')

    assert receipt.tray_item.reason == TrayReason.UNKNOWN_LAYOUT


def test_the_same_unreadable_octets_again_are_one_item_with_two_arrivals(mesh):
    take(mesh, b"not json")

    again = take(mesh, b"not json")

    assert TrayItem.objects.count() == 1
    assert again.tray_item.arrivals == 2


def test_a_document_for_no_mesh_is_kept_under_the_books_own_key():
    receipt = receive(None, b"{}", PUSH, make.NOW)

    assert receipt.tray_item.reason == TrayReason.NO_MESH
    assert DataKey.objects.get().client is None
    assert open_body(receipt.tray_item.sealed_body) == b"{}"


def test_each_client_has_a_data_key_of_its_own(mesh):
    other = make.mesh()
    take(mesh, document(mesh))
    take(other, document(other, nodes=nodes(first=0x9000)))

    first, second = (SealedBody.objects.get(snapshot__mesh=each) for each in (mesh, other))
    assert first.data_key != second.data_key


def test_sealed_octets_moved_to_another_row_do_not_open(mesh):
    from fleet.snapshots.sealing import SealError

    first = take(mesh, document(mesh)).snapshot.sealed_body
    second = take(mesh, document(mesh, make.NOW + DAY, outgoing_counter=1_500_000), make.NOW + DAY)
    moved = second.snapshot.sealed_body
    moved.sealed = first.sealed

    with pytest.raises(SealError):
        open_body(moved)


def test_a_new_network_key_locks_the_older_copies_out(mesh):
    take(mesh, document(mesh))

    take(
        mesh,
        document(mesh, make.NOW + DAY, network_key=key("new"), key_sequence=1, outgoing_counter=9),
        make.NOW + DAY,
    )

    currencies = list(mesh.snapshots.order_by("taken_at").values_list("currency", flat=True))
    assert currencies == [Currency.LOCKED_OUT, Currency.FRESH]


def test_a_copy_taken_before_a_key_change_is_locked_out_even_if_it_lands_later(mesh):
    after = make.NOW
    before = make.NOW - timedelta(minutes=10)
    take(mesh, document(mesh, after, network_key=key("new"), key_sequence=0, outgoing_counter=9), after + DAY)

    late = take(mesh, document(mesh, before, key_sequence=255), after + DAY)

    late.snapshot.refresh_from_db()
    assert late.snapshot.currency == Currency.LOCKED_OUT
    mesh.refresh_from_db()
    assert mesh.key_sequence == 0


def test_an_older_copy_that_lands_late_leaves_the_node_rows_alone(mesh):
    take(mesh, document(mesh))

    take(
        mesh,
        document(mesh, make.NOW - DAY, nodes=nodes(11), outgoing_counter=1_000_000),
        make.NOW + DAY,
    )

    assert mesh.nodes.filter(gone_since=None).count() == 12


def test_age_counts_from_capture_and_not_from_arrival(mesh):
    make.agreement(mesh.site, recovery_point_hours=24)

    receipt = take(mesh, document(mesh, make.NOW - timedelta(hours=30)))

    assert receipt.snapshot.currency == Currency.STALE


def test_two_meshes_with_one_key_are_found_without_showing_it(mesh):
    other = make.mesh()
    take(mesh, document(mesh, network_key=key("one")))

    receipt = take(other, document(other, network_key=key("one"), nodes=nodes(first=0x9000)))

    shared = next(row for row in receipt.findings if row.code == "key_shared")
    assert key("one").hex() not in f"{shared.message} {shared.value} {shared.expected}".lower()
    assert receipt.snapshot.grade == Grade.SEEN_LIVE


def test_every_document_leaves_a_line_in_the_journal(mesh):
    take(mesh, document(mesh))
    take(mesh, b"not json")

    assert list(JournalEntry.objects.order_by("pk").values_list("what", flat=True)) == [
        "snapshot taken in",
        "document put in the tray",
    ]


def test_facts_never_show_their_keys_in_their_own_text(mesh):
    shown = repr(facts(mesh))

    assert key(mesh.code).hex() not in shown
    assert str(key(mesh.code)) not in shown
