import json
from datetime import timedelta

import pytest

from fleet.mesh.counters import SPACE_END
from fleet.models import CounterEvidence, How, JournalEntry, Mesh
from fleet.snapshots import own_layout
from fleet.snapshots.decoding import decode
from fleet.verbs.grant import GrantRefused, Request, restore_document
from fleet.verbs.intake import Origin, receive
from tests import make
from tests.documents import document, key

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
HOUR = timedelta(hours=1)


@pytest.fixture
def spare():
    return make.spare()


def fed(mesh, *, days=5, **given):
    """A mesh with dailies at 3 frames a second, the last an hour before NOW."""
    for day in range(days):
        taken_at = make.NOW - HOUR - DAY * (days - 1 - day)
        counter = given.get("outgoing_counter", 10_000_000 + day * 259_200)
        body = document(mesh, taken_at, **{**given, "outgoing_counter": counter})
        receive(mesh, body, Origin(How.PUSH, "controller"), taken_at)
    return Mesh.objects.select_related("site__client").get(pk=mesh.pk)


@pytest.fixture
def mesh():
    return fed(make.mesh())


def ask(mesh, spare, now=make.NOW, **given):
    request = Request(spare, **{"by": "Noor", "reason": "the radio is dead", **given.pop("request", {})})
    return restore_document(mesh, request, now, **given)


def test_only_the_counter_differs_from_the_original(mesh, spare):
    original = document(mesh, make.NOW - HOUR, outgoing_counter=11_036_800)

    grant = ask(mesh, spare)

    before, after = decode(original), decode(grant.document)
    assert before["security"].pop("outgoingCounter") == 11_036_800
    assert after["security"].pop("outgoingCounter") == grant.start.value
    assert before == after
    assert len(grant.document) == len(original)


def test_the_number_is_that_of_the_formula(mesh, spare):
    """C1 by hand: 11,036,800 + 2 * 3/s * 3,600 s + 65,536."""
    assert ask(mesh, spare).start.value == 11_036_800 + 21_600 + 65_536


def test_the_grant_goes_into_the_ledger_and_the_journal(mesh, spare):
    grant = ask(mesh, spare)

    line = CounterEvidence.objects.get(kind="restore")
    assert (line.value, line.by, line.snapshot) == (grant.start.value, "Noor", grant.snapshot)
    entry = JournalEntry.objects.get(what="restore document given out")
    assert entry.details["reason"] == "the radio is dead"
    assert key(mesh.code).hex() not in str(entry.details).lower()


def test_a_second_restore_from_the_same_copy_never_gets_a_lower_number(mesh, spare):
    first = ask(mesh, spare)

    assert ask(mesh, spare, make.NOW).start.value > first.start.value
    assert ask(mesh, spare, make.NOW + DAY).start.value > first.start.value


def test_counters_of_link_keys_rise_by_as_much(spare):
    mesh = make.mesh()
    body = json.loads(document(mesh, make.NOW - HOUR, outgoing_counter=1_000_000))
    body["nodes"][0]["link"]["outgoingCounter"] = 77
    receive(mesh, json.dumps(body).encode(), Origin(How.PUSH, "x"), make.NOW - HOUR)

    grant = ask(Mesh.objects.get(pk=mesh.pk), spare)

    link = decode(grant.document)["nodes"][0]["link"]
    assert link["outgoingCounter"] == 77 + grant.start.value - 1_000_000


@pytest.mark.parametrize("reason", ["", "   "])
def test_a_reason_is_asked(mesh, spare, reason):
    with pytest.raises(GrantRefused, match="reason"):
        ask(mesh, spare, request={"reason": reason})


def test_a_stale_copy_needs_a_second_person(mesh, spare):
    mesh.snapshots.update(currency="stale")

    with pytest.raises(GrantRefused, match="second person must confirm, because it is stale"):
        ask(mesh, spare)
    with pytest.raises(GrantRefused, match="somebody other"):
        ask(mesh, spare, request={"second": "noor"})
    assert ask(mesh, spare, request={"second": "Orla"}).document


def test_a_doubtful_copy_needs_a_second_person(spare):
    mesh = make.mesh()
    receive(mesh, document(mesh, make.NOW - HOUR, pan_id=0), Origin(How.PUSH, "x"), make.NOW - HOUR)

    with pytest.raises(GrantRefused, match="PAN ID 0x0000"):
        ask(Mesh.objects.get(pk=mesh.pk), spare)


def test_a_copy_locked_out_by_a_newer_key_is_never_chosen_by_itself(mesh, spare):
    old = mesh.snapshots.first()
    receive(
        mesh,
        document(mesh, make.NOW, network_key=key("new"), key_sequence=1, outgoing_counter=500),
        Origin(How.PUSH, "x"),
        make.NOW,
    )
    mesh.refresh_from_db()

    assert ask(mesh, spare, make.NOW + HOUR).snapshot.key_sequence == 1
    with pytest.raises(GrantRefused, match="locked out"):
        ask(mesh, spare, make.NOW + HOUR, snapshot=old)


def test_a_mesh_without_a_copy_is_told_so(spare):
    with pytest.raises(GrantRefused, match="no snapshot that can be restored"):
        ask(make.mesh(), spare)


def test_another_meshs_copy_is_refused(mesh, spare):
    other = fed(make.mesh(), days=1)

    with pytest.raises(GrantRefused, match="not one of"):
        ask(mesh, spare, snapshot=other.snapshots.get())


def test_near_the_end_of_the_space_no_number_is_given(spare):
    mesh = fed(make.mesh(), days=1, outgoing_counter=SPACE_END - 100)

    with pytest.raises(GrantRefused, match="change the network key"):
        ask(mesh, spare, request={"second": "Orla"})
    assert not CounterEvidence.objects.filter(kind="restore").exists()


def test_the_document_reads_back_as_the_same_mesh(mesh, spare):
    facts = own_layout.read(decode(ask(mesh, spare).document))

    assert facts.extended_pan_id == mesh.extended_pan_id
    assert facts.network_key == key(mesh.code)
