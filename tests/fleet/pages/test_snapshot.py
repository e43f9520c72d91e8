"""The page of a snapshot, and taking one in by hand."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from fleet.models import Arrival, Custody, Grade, How, Mesh, Snapshot, TrayItem
from tests import make
from tests.fleet.snapshots.making import document, octets

pytestmark = pytest.mark.django_db


def send(client, mesh: Mesh, body: bytes, name: str = "mesh.json"):
    url = reverse("snapshot-upload", args=[mesh.code])
    return client.post(url, {"document": SimpleUploadedFile(name, body)}, follow=True)


def empty_mesh() -> Mesh:
    """A mesh that has not learnt its identity yet, so that any sound document fits."""
    return make.mesh(extended_pan_id=None, head_address=None, key_mark="", key_sequence=None)


def test_a_document_is_taken_in_and_its_page_is_shown(as_owner, owner):
    mesh = empty_mesh()
    answer = send(as_owner, mesh, octets(document()))
    copy = Snapshot.objects.get()
    assert answer.redirect_chain[-1][0] == reverse("snapshot", args=[copy.uid])
    assert "Taken in and sealed." in answer.content.decode()
    arrival = Arrival.objects.get()
    assert (arrival.how, arrival.by, arrival.file_name) == (How.UPLOAD, str(owner), "mesh.json")


def test_the_same_document_again_is_noted_and_not_stored_twice(as_owner):
    mesh = empty_mesh()
    send(as_owner, mesh, octets(document()))
    answer = send(as_owner, mesh, octets(document()))
    assert "This copy was here already" in answer.content.decode()
    assert (Snapshot.objects.count(), Arrival.objects.count()) == (1, 2)


def test_a_document_that_cannot_be_read_leads_to_the_tray(as_owner):
    answer = send(as_owner, empty_mesh(), b"not a document")
    assert answer.redirect_chain[-1][0] == reverse("tray")
    assert TrayItem.objects.count() == 1


def test_an_empty_file_waits_in_the_tray_too(as_owner):
    send(as_owner, empty_mesh(), b"")
    assert TrayItem.objects.get().size_octets == 0


def test_a_file_that_is_too_large_is_refused_beside_its_field(as_owner, settings):
    settings.INTAKE_LIMIT = 100
    answer = send(as_owner, empty_mesh(), b"x" * 101)
    assert 'id="id_document_error"' in answer.content.decode()
    assert not TrayItem.objects.exists()


def test_a_partner_may_send_a_copy_of_a_home_they_are_named_for(as_stranger, stranger):
    mesh = empty_mesh()
    stranger.sites.add(mesh.site)
    send(as_stranger, mesh, octets(document()))
    assert Snapshot.objects.count() == 1


def test_a_partner_may_not_send_one_for_a_home_of_others(as_stranger):
    assert send(as_stranger, empty_mesh(), octets(document())).status_code == 404
    assert not Snapshot.objects.exists()


def test_no_key_of_the_document_is_on_its_page(as_owner):
    mesh, body = empty_mesh(), document()
    page = send(as_owner, mesh, octets(body)).content.decode().upper()
    keys = [value for value in _texts(body) if len(value) == 32]
    assert keys
    assert not [key for key in keys if key.upper() in page]


def _texts(value: object) -> list[str]:
    if isinstance(value, dict):
        return [text for part in value.values() for text in _texts(part)]
    if isinstance(value, list):
        return [text for part in value for text in _texts(part)]
    return [value] if isinstance(value, str) else []


def page(client, copy: Snapshot) -> str:
    return client.get(reverse("snapshot", args=[copy.uid])).content.decode()


def test_findings_stand_worst_first(as_owner):
    copy = make.snapshot(make.mesh(), grade=Grade.HELD)
    make.finding(copy.mesh, copy, severity="note", message="Worth reading.")
    make.finding(copy.mesh, copy, severity="stop", message="Wrong home.")
    make.finding(copy.mesh, copy, severity="doubt", message="Counter fell.")
    html = page(as_owner, copy)
    assert html.index("Wrong home.") < html.index("Counter fell.") < html.index("Worth reading.")


def test_what_holds_a_copy_is_said(as_owner):
    copy = make.snapshot(make.mesh(), holds=["day 2027-03-25", "last sound"])
    html = page(as_owner, copy)
    assert "latest of the day 25 Mar 2027" in html
    assert "last sound copy" in html
    assert "Why it is kept" in html


def test_a_marked_copy_says_from_when_it_goes_and_offers_to_keep_it(as_owner):
    mesh = make.mesh(keep_rule=make.keep_rule(grace_days=7))
    html = page(as_owner, make.snapshot(mesh, custody=Custody.DOOMED, doomed_at=make.NOW))
    assert "It goes with the first whole round after" in html
    assert "2 Apr 2027, 10:00" in html
    assert "Keep this copy" in html


def test_an_erased_copy_says_where_its_octets_may_still_be(as_owner):
    copy = make.snapshot(
        make.mesh(), custody=Custody.GONE, gone_at=make.NOW, gone_because="Keep rule Usual: 14 days"
    )
    html = page(as_owner, copy)
    assert "Keep rule Usual: 14 days" in html
    assert "A copy of the database from before that day still holds them, sealed" in html
    assert "Keep this copy" not in html


def test_what_holds_a_copy_already_is_not_offered_again(as_owner):
    copy = make.snapshot(make.mesh())
    make.pin(copy.mesh, copy)
    html = page(as_owner, copy)
    assert "Keep this copy" not in html
    assert "Put a legal hold on it" in html


def test_a_partner_is_offered_no_pin(as_stranger, stranger):
    copy = make.snapshot(make.mesh())
    stranger.sites.add(copy.mesh.site)
    make.pin(copy.mesh, copy, reason="a quarrel")
    html = page(as_stranger, copy)
    assert "Kept by hand" in html
    assert "a quarrel" not in html
    assert "Keep this copy" not in html


def test_the_page_takes_seven_statements(as_owner, django_assert_num_queries):
    copy = make.snapshot(make.mesh())
    for _ in range(5):
        make.finding(copy.mesh, copy)
        make.arrival(copy)
    with django_assert_num_queries(7):  # session, person, copy, findings, arrivals, their number, pins
        page(as_owner, copy)
