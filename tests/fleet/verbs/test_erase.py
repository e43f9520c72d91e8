"""A client whose data key is destroyed: what goes, what stays, what is refused, and what an older copy can still do."""

from datetime import date, timedelta

import pytest

from fleet import keyring
from fleet.keyring import KeyRingError
from fleet.models import (
    BaseCopy,
    Custody,
    DataKey,
    Erasure,
    Finding,
    How,
    InstallCode,
    JournalEntry,
    Mesh,
    PackingBase,
    Pin,
    PinKind,
    SealedBody,
    Snapshot,
    TrayItem,
    VisitState,
    VisitWaiver,
)
from fleet.queries.erasure import remains, still_opening, unrenewed, went
from fleet.queries.sealed import Erased, open_body
from fleet.queries.verify import verify
from fleet.verbs import push_tokens, renew_ring
from fleet.verbs import round as rounds
from fleet.verbs.erase import EraseRefused, erase_client
from fleet.verbs.intake import Kind, Origin, receive
from fleet.verbs.repack import repack
from sites.models import Client
from tests import make
from tests.documents import document, key

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
PUSH = Origin(How.PUSH, "controller", "hall.json")


@pytest.fixture
def mesh() -> Mesh:
    return make.mesh(site=make.site(code="KELP-7"))


@pytest.fixture
def full(mesh) -> Mesh:
    """Every kind of sealed row: dailies, a packing base, other octets of one meaning, the tray, an install code."""
    for day in range(4):
        taken_at = make.NOW - DAY * (4 - day)
        body = document(mesh, taken_at, outgoing_counter=1_000_000 + day * 200_000)
        receive(mesh, body, PUSH, taken_at)
    receive(mesh, body.replace(b'"version":1', b'"version": 1'), PUSH, make.NOW)
    receive(mesh, b'{"layout": "of nobody", "name": "the hall"}', PUSH, make.NOW)
    repack(mesh, make.NOW)
    node = mesh.nodes.first()
    data_key = DataKey.objects.get(client=mesh.site.client)
    InstallCode.objects.create(
        node=node,
        data_key=data_key,
        sealed=bytes(40),
        mark=bytes(32),
        entered_by="Noor",
        entered_at=make.NOW,
    )
    make.push_token(mesh)
    make.service(mesh)
    make.finding(mesh)
    mesh.refresh_from_db()
    return mesh


def erase(mesh: Mesh, **given) -> Erasure:
    words = {"reason": "the agreement ended", "by": "Orla", "second": "Noor", "now": make.NOW, **given}
    return erase_client(mesh.site.client, **words)


def test_the_data_key_and_every_octet_under_it_are_gone(full):
    erase(full)

    data_key = DataKey.objects.get(client=full.site.client)
    assert (data_key.wrapped, data_key.destroyed_at) == (None, make.NOW)
    for model in (SealedBody, PackingBase, BaseCopy, InstallCode):
        assert not model.objects.exists()


def test_the_dated_rows_stay_and_say_why_their_octets_went(full):
    erase(full)

    copies = full.snapshots.all()
    assert len(copies) == 4
    assert {copy.custody for copy in copies} == {Custody.GONE}
    assert {copy.gone_at for copy in copies} == {make.NOW}
    assert {copy.gone_because for copy in copies} == {"Erased with the client: the agreement ended"}


def test_names_of_devices_and_what_documents_said_leave_the_rows(full):
    erase(full)

    full.refresh_from_db()
    assert set(full.nodes.values_list("label", "room", "by_hand", "wake")) == {("", "", "", "")}
    assert full.roll == {}
    assert not Finding.objects.exists()
    item = TrayItem.objects.get()
    assert (item.problems, item.file_name, item.cleared_because) == ([], "", "erased with the client")


def test_meshes_leave_care_and_tokens_end(full):
    erase(full)

    full.refresh_from_db()
    assert not full.in_care
    assert full.push_tokens.get().revoked_at == make.NOW
    assert not full.periods.filter(until=None).exists()


def test_visits_end_and_keep_no_word(full):
    visit = make.visit(full.site)
    other = make.visit()
    VisitWaiver.objects.create(
        visit=visit, rule="weekend", name="Orla", because="ill", at=make.NOW, by="Orla"
    )

    erase(full)

    visit.refresh_from_db()
    assert (visit.state, visit.ended_by) == (VisitState.DROPPED, "erased with the client")
    assert [(task.words, task.is_open) for task in visit.tasks.all()] == [("Other work", False)]
    assert visit.waivers.get().because == ""
    assert other.tasks.get().words == "look at the hall lamp"


def test_the_row_says_who_why_what_and_each_digest(full):
    digests = set(full.snapshots.values_list("sha256", flat=True))

    row = erase(full)

    assert (row.by, row.second, row.reason) == ("Orla", "Noor", "the agreement ended")
    assert {copy["sha256"] for copy in row.copies} == digests
    assert row.erased["snapshots"] == 4
    assert row.erased["sealed_documents"] == 6
    assert row.erased["install_codes"] == 1
    assert row.erased["device_names"] == 12
    assert "4 snapshots" in went(row)


def test_the_journal_tells_of_it_without_a_name_of_a_device(full):
    erase(full)

    line = JournalEntry.objects.get(what="client erased")
    assert (line.who, line.subject) == ("Orla", str(full.site.client.uid))
    assert line.details["second"] == "Noor"
    assert "thing" not in str(line.details)


def test_another_client_loses_nothing(full):
    other = make.mesh()
    body = document(other)
    kept = receive(other, body, PUSH, make.NOW).snapshot
    node = make.node(other, label="lamp by the door")

    erase(full)

    assert open_body(kept.sealed_body) == body
    node.refresh_from_db()
    assert node.label == "lamp by the door"


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"reason": " "}, "reason"),
        ({"second": ""}, "two people"),
        ({"by": ""}, "two people"),
        ({"second": " ORLA "}, "somebody other"),
    ],
)
def test_it_takes_a_reason_and_two_people(full, given, says):
    with pytest.raises(EraseRefused, match=says):
        erase(full, **given)

    assert open_body(SealedBody.objects.filter(snapshot__isnull=False).first())
    assert not Erasure.objects.exists()


def test_a_legal_hold_wins_and_is_named(full):
    Client.objects.update(held_since=date(2027, 1, 4), hold_reason="court order 12")

    with pytest.raises(
        EraseRefused, match="a legal hold stands since 2027-01-04 on the client: court order 12"
    ):
        erase(full)

    assert SealedBody.objects.exists()


def test_a_legal_hold_on_one_copy_wins_too(full):
    copy = full.snapshots.first()
    Pin.objects.create(
        kind=PinKind.LEGAL, mesh=full, snapshot=copy, reason="court order 13", at=make.NOW, by="Orla"
    )

    with pytest.raises(EraseRefused, match="on a copy of KELP-7-A: court order 13"):
        erase(full)


def test_a_client_is_erased_once(full):
    erase(full)

    with pytest.raises(EraseRefused, match="already"):
        erase(full)


def test_a_failure_half_way_changes_nothing(full, monkeypatch):
    def broken(*_):
        raise RuntimeError("the disk is full")

    monkeypatch.setattr("fleet.verbs.erase.end_care", broken)

    with pytest.raises(RuntimeError):
        erase(full)

    assert open_body(SealedBody.objects.filter(snapshot__isnull=False).first())
    assert Client.objects.get().erased_at is None
    assert not Erasure.objects.exists()


def test_a_client_without_a_document_is_erased_and_none_is_taken_in_afterwards(mesh):
    row = erase(mesh)

    assert (row.ring_keys, row.copies) == ([], [])
    with pytest.raises(Erased):
        receive(mesh, document(mesh), PUSH, make.NOW)
    assert not Snapshot.objects.exists()


@pytest.mark.parametrize(
    "body",
    [
        lambda mesh: document(mesh, make.NOW),
        lambda mesh: document(mesh, make.NOW - DAY, outgoing_counter=1_600_000),
        lambda mesh: document(make.mesh(), make.NOW),
        lambda mesh: b"no document at all",
        lambda mesh: b'{"layout": "of nobody"}',
    ],
    ids=["new", "known", "of another mesh", "unreadable", "unknown layout"],
)
def test_whatever_comes_for_an_erased_client_leaves_no_row(full, body):
    octets = body(full)
    erase(full)
    before = {
        model: model.objects.count() for model in (Snapshot, TrayItem, SealedBody, JournalEntry, DataKey)
    }
    arrivals = full.snapshots.values_list("arrivals")

    with pytest.raises(Erased, match="2027-03-26"):
        receive(full, octets, PUSH, make.NOW)

    assert {model: model.objects.count() for model in before} == before
    assert arrivals.count() == full.snapshots.values_list("arrivals").count()


def test_a_client_who_comes_back_is_entered_anew_and_gets_a_key_of_their_own(full):
    same_network = document(full, make.NOW)
    identity, head, radio = full.extended_pan_id, full.head_address, full.periods.get().radio
    erase(full)

    again = make.mesh(extended_pan_id=identity, head_address=head)
    make.service(again, radio, since=make.NOW)
    receipt = receive(again, same_network, PUSH, make.NOW)

    assert receipt.kind is Kind.STORED
    assert open_body(receipt.snapshot.sealed_body) == same_network
    assert DataKey.objects.filter(destroyed_at=None).count() == 1


def test_verify_calls_it_erased_and_not_damaged(full):
    body = SealedBody.objects.filter(snapshot__isnull=False).first()
    erase(full)
    # As where a row was left over: its key is gone, so nothing can be said but that.
    SealedBody.objects.create(snapshot=body.snapshot, data_key=body.data_key, sealed=body.sealed)

    looked = list(verify())

    assert [each.wrong for each in looked] == ["", ""]
    assert all(each.erased for each in looked)


def test_a_round_over_the_book_finds_nothing_to_do_there(full):
    erase(full)

    report = rounds.run(lambda: make.NOW, by="test")

    assert (report.done, report.errors) == (0, [])


def in_an_older_copy(body: SealedBody) -> SealedBody:
    """The rows as a dump from before holds them: the wrapped key and the sealed octets."""
    DataKey.objects.filter(pk=body.data_key_id).update(
        wrapped=bytes(body.data_key.wrapped), destroyed_at=None, ring_key=body.data_key.ring_key
    )
    SealedBody.objects.bulk_create([body])
    return SealedBody.objects.get(pk=body.pk)


@pytest.fixture
def dumped(full) -> SealedBody:
    return SealedBody.objects.select_related("data_key").get(snapshot=full.snapshots.first())


def test_until_the_ring_is_renewed_an_older_copy_still_opens_and_the_erasure_says_so(full, dumped):
    row = erase(full)

    assert still_opening(row) == (keyring.load().active,)
    assert "still open with the key ring of today" in remains(row)[0].what
    assert keyring.load().active in remains(row)[0].where
    assert unrenewed() == 1
    assert key(full.code).hex().encode() in open_body(in_an_older_copy(dumped)).lower()


def test_after_the_ring_is_renewed_an_older_copy_opens_no_more(full, dumped):
    row = erase(full)

    renew_ring.renew("Orla", make.NOW + DAY)

    row.refresh_from_db()
    assert (row.ring_renewed_at, still_opening(row), unrenewed()) == (make.NOW + DAY, (), 0)
    with pytest.raises(KeyRingError):
        open_body(in_an_older_copy(dumped))


def test_an_older_copy_of_the_ring_opens_the_older_copy_of_the_database(full, dumped, settings, tmp_path):
    """What is stated as remaining does remain: without this the statement would be a guess."""
    old_ring = tmp_path / "ring-of-yesterday.json"
    old_ring.write_bytes(settings.KEYRING_FILE.read_bytes())
    old_ring.chmod(0o600)
    row = erase(full)
    renew_ring.renew("Orla", make.NOW + DAY)
    row.refresh_from_db()
    assert "open only with a copy of the key ring from their own time" in remains(row)[0].what

    settings.KEYRING_FILE = old_ring

    assert open_body(in_an_older_copy(dumped))


def test_a_renewal_that_was_under_way_leaves_a_key_that_opens_and_the_next_one_ends_it(full):
    keyring.add_key()
    row = erase(full)
    assert len(row.ring_keys) == 2

    renew_ring.renew("Orla", make.NOW)
    row.refresh_from_db()
    assert (row.ring_renewed_at, len(still_opening(row))) == (None, 1)

    renew_ring.renew("Orla", make.NOW)
    row.refresh_from_db()
    assert (row.ring_renewed_at, still_opening(row)) == (make.NOW, ())


def test_documents_given_out_sheets_and_other_trays_are_counted(full):
    make.evidence(full, 2_000_000, kind="restore")
    make.tray_item(make.mesh(), reason="wrong_home")

    row = erase(full)

    assert row.remains == {"sheets": 0, "documents_given_out": 1, "documents_in_other_trays": 1}
    said = " ".join(part.what for part in remains(row))
    assert "One document given out" in said
    assert "One document that may be of this client" in said


def test_a_token_of_an_erased_client_is_known_as_such(full):
    _, text = push_tokens.make(full, "controller", "Orla", make.NOW)

    erase(full)

    assert full.push_tokens.get(digest=push_tokens.digest_of(text)).revoked_at == make.NOW
