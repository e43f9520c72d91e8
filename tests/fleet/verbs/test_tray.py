"""Clearing a document from the tray, sending it to a mesh, having it read again."""

from datetime import date, timedelta

import pytest

from fleet.models import JournalEntry, Mesh, SealedBody, Snapshot, TrayItem, TrayReason
from fleet.queries.sealed import open_body
from fleet.queries.tray import home_of, taken_in_as
from fleet.verbs.intake import Kind
from fleet.verbs.tray import TrayRefused, clear, octets_of, open_item, send_to
from tests import make
from tests.documents import document
from tests.fleet import foreign_box

pytestmark = pytest.mark.django_db

LATER = make.NOW + timedelta(hours=3)


@pytest.fixture
def mesh() -> Mesh:
    return foreign_box.home_mesh(site=make.site(code="KELP-7"))


def line(what: str) -> JournalEntry:
    return JournalEntry.objects.get(what=what)


def test_a_cleared_document_says_who_when_and_why_and_stays_sealed(mesh):
    item = foreign_box.waits(mesh)

    clear(item, " sent by mistake ", "Orla", LATER)

    item.refresh_from_db()
    assert (item.cleared_by, item.cleared_because, item.cleared_at) == ("Orla", "sent by mistake", LATER)
    assert octets_of(item) == foreign_box.body(mesh)


def test_what_it_holds_is_erased_only_when_asked(mesh):
    item = foreign_box.waits(mesh)

    clear(item, "a stranger's network", "Orla", LATER, erase=True)

    assert not SealedBody.objects.filter(tray_item=item).exists()
    with pytest.raises(TrayRefused, match="holds nothing"):
        octets_of(item)


def test_clearing_is_journalled_with_its_reason_and_whether_it_was_erased(mesh):
    clear(foreign_box.waits(mesh), "no use", "Orla", LATER)

    entry = line("tray item cleared")
    assert (entry.who, entry.subject, entry.at) == ("Orla", "KELP-7-A", LATER)
    assert entry.details["because"] == "no use"
    assert entry.details["erased"] == "no, kept sealed"


@pytest.mark.parametrize("because", ["", "  ", "x" * 201])
def test_a_document_is_not_cleared_without_a_reason_that_fits(mesh, because):
    item = foreign_box.waits(mesh)

    with pytest.raises(TrayRefused, match="Say why"):
        clear(item, because, "Orla", LATER)

    assert TrayItem.objects.filter(cleared_at=None).count() == 1


def test_nothing_is_erased_under_a_legal_hold(mesh):
    item = foreign_box.waits(mesh)
    owner = mesh.site.client
    owner.held_since, owner.hold_reason = date(2027, 1, 1), "court order"
    owner.save()

    with pytest.raises(TrayRefused, match="legal hold"):
        clear(item, "no use", "Orla", LATER, erase=True)

    assert octets_of(item)
    clear(item, "no use", "Orla", LATER)


def test_whoever_comes_second_is_told_who_was_faster(mesh):
    item = foreign_box.waits(mesh)
    clear(item, "no use", "Orla", LATER)

    with pytest.raises(TrayRefused, match=r"Orla was faster.*no use"):
        clear(item, "mine", "Noor", LATER)
    with pytest.raises(TrayRefused, match="Orla was faster"):
        send_to(item, mesh, "Noor", LATER)


def test_a_document_that_was_cleared_may_come_again_and_waits_anew(mesh):
    clear(foreign_box.waits(mesh), "no use", "Orla", LATER)

    again = foreign_box.waits(mesh)

    assert again.cleared_at is None
    assert TrayItem.objects.count() == 2


def test_a_document_for_no_mesh_becomes_a_copy_of_the_mesh_it_is_sent_to(mesh):
    item = foreign_box.waits(None, document(mesh))

    receipt = send_to(item, mesh, "Orla", LATER)

    copy = Snapshot.objects.get()
    assert receipt.kind is Kind.STORED
    assert open_body(copy.sealed_body) == document(mesh)


def test_it_keeps_when_how_and_by_whom_it_came(mesh):
    send_to(foreign_box.waits(None, document(mesh)), mesh, "Orla", LATER)

    arrival = Snapshot.objects.get().arrivals.get()
    assert (arrival.at, arrival.how, arrival.by, arrival.file_name) == (
        make.NOW,
        "push",
        "controller",
        "night.json",
    )


def test_sending_is_journalled_and_leaves_no_second_copy_of_the_octets(mesh):
    item = foreign_box.waits(None, document(mesh))

    send_to(item, mesh, "Orla", LATER)

    item.refresh_from_db()
    assert item.cleared_because == "sent to KELP-7-A"
    assert SealedBody.objects.count() == 1
    entry = line("tray item sent")
    assert (entry.who, entry.subject) == ("Orla", "KELP-7-A")
    assert (entry.details["came_for"], entry.details["outcome"]) == ("no mesh", "stored")


def test_what_the_other_mesh_cannot_take_in_waits_there_for_its_new_reason(mesh):
    other = make.mesh()
    item = foreign_box.waits(mesh, document(other))
    third = make.mesh()

    receipt = send_to(item, third, "Orla", LATER)

    waiting = TrayItem.objects.get(cleared_at=None)
    assert receipt.tray_item == waiting
    assert (waiting.mesh, waiting.reason, waiting.received_at) == (third, TrayReason.WRONG_HOME, make.NOW)
    assert octets_of(waiting) == document(other)


def test_its_own_mesh_reads_it_again_once_the_register_is_right(mesh):
    right = {"head_address": mesh.head_address, "extended_pan_id": mesh.extended_pan_id}
    mistyped = {"head_address": "02A4C138DEAD0001", "extended_pan_id": "02D1CE00DEAD0001"}
    body = document(mesh)
    Mesh.objects.filter(pk=mesh.pk).update(**mistyped)
    item = foreign_box.waits(mesh, body)
    Mesh.objects.filter(pk=mesh.pk).update(**right)

    receipt = send_to(item, mesh, "Orla", LATER)

    item.refresh_from_db()
    assert receipt.kind is Kind.STORED
    assert item.cleared_because == "read again"
    assert taken_in_as(item) == Snapshot.objects.get()


def test_what_still_does_not_fit_stays_one_item_with_the_reason_of_today(mesh):
    item = foreign_box.waits(mesh, document(make.mesh()))
    TrayItem.objects.update(reason=TrayReason.UNREADABLE, problems=[])

    receipt = send_to(item, mesh, "Orla", LATER)

    kept = TrayItem.objects.get()
    assert receipt.kind is Kind.TRAYED
    assert (kept.uid, kept.reason, kept.cleared_at, kept.arrivals) == (
        item.uid,
        TrayReason.WRONG_HOME,
        None,
        1,
    )
    assert kept.problems


def test_a_copy_that_the_mesh_has_already_is_one_more_arrival(mesh):
    send_to(foreign_box.waits(None, document(mesh)), mesh, "Orla", LATER)

    receipt = send_to(foreign_box.waits(None, document(mesh)), mesh, "Orla", LATER)

    assert receipt.kind is Kind.REPEATED
    assert Snapshot.objects.get().arrivals.count() == 2


def test_opening_goes_into_the_journal(mesh):
    item = foreign_box.waits(mesh)

    assert open_item(item, "Orla", LATER) == foreign_box.body(mesh)

    entry = line("tray item opened")
    assert (entry.who, entry.subject, entry.details) == ("Orla", "KELP-7-A", {"item": str(item.uid)})


def test_damaged_octets_are_said_and_nothing_is_lost(mesh):
    item = foreign_box.waits(mesh)
    row = SealedBody.objects.get(tray_item=item)
    SealedBody.objects.update(sealed=bytes(row.sealed)[:-1] + bytes([bytes(row.sealed)[-1] ^ 1]))

    with pytest.raises(TrayRefused, match="cannot be opened"):
        send_to(item, make.mesh(), "Orla", LATER)

    assert TrayItem.objects.get().cleared_at is None


def test_the_home_of_a_readable_document_is_found_by_its_extended_pan_id(mesh):
    make.mesh()

    assert home_of(document(mesh)) == mesh
    assert home_of(foreign_box.body(mesh)) is None
