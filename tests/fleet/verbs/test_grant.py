import json
from datetime import timedelta

import pytest

from fleet.mesh.counters import SPACE_END
from fleet.models import CounterEvidence, How, JournalEntry, Mesh
from fleet.snapshots import own_layout
from fleet.snapshots.decoding import decode
from fleet.snapshots.fingerprint import layout_fingerprint
from fleet.snapshots.guides import FieldGuide, FieldRule
from fleet.snapshots.readings import Reading
from fleet.verbs.grant import GrantRefused, Request, restore_document
from fleet.verbs.guides import confirm
from fleet.verbs.intake import Origin, receive
from tests import make
from tests.documents import document, key
from tests.fleet.snapshots import guided
from tests.fleet.snapshots.guided import HEAD

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

    with pytest.raises(
        GrantRefused, match=r"second person must confirm\. It is stale: devices may have joined since\.$"
    ):
        ask(mesh, spare)
    with pytest.raises(GrantRefused, match="somebody other"):
        ask(mesh, spare, request={"second": "noor"})
    assert ask(mesh, spare, request={"second": "Orla"}).document


def test_a_doubtful_copy_needs_a_second_person(spare):
    mesh = make.mesh()
    receive(mesh, document(mesh, make.NOW - HOUR, pan_id=0), Origin(How.PUSH, "x"), make.NOW - HOUR)

    with pytest.raises(GrantRefused, match="PAN ID 0x0000") as refused:
        ask(Mesh.objects.get(pk=mesh.pk), spare)
    assert ".." not in str(refused.value)
    assert "; T" not in str(refused.value)


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


def test_the_numbers_of_the_trade(spare):
    """C1: 1,463,120 thirty days ago at 3/s; again from the same copy a day later."""
    mesh = make.mesh()
    for day in range(5):
        taken_at = make.NOW - DAY * (34 - day)
        body = document(mesh, taken_at, outgoing_counter=1_463_120 - (4 - day) * 259_200)
        receive(mesh, body, Origin(How.PUSH, "controller"), taken_at)
    mesh = Mesh.objects.get(pk=mesh.pk)
    agreed = {"request": {"second": "Orla"}}

    first, again = ask(mesh, spare, **agreed), ask(mesh, spare, make.NOW + DAY, **agreed)

    assert first.snapshot == again.snapshot
    assert (first.start.value, again.start.value) == (17_080_656, 17_664_592)
    assert decode(again.document)["security"]["outgoingCounter"] == 17_664_592


def test_a_foreign_document_comes_back_in_its_own_notation(spare):
    """Octets between separators, groups of three, a list the other way round: nothing else changes."""
    mesh = make.mesh(head_address=HEAD, extended_pan_id="8F3A5501C27BE904")
    body, guide = foreign_document()
    confirm(guide, layout_fingerprint(decode(body)), "Orla", make.NOW)
    receive(mesh, body, Origin(How.PUSH, "controller"), make.NOW)

    grant = ask(Mesh.objects.get(pk=mesh.pk), spare, make.NOW, request={"second": "Orla"})

    start = grant.start.value
    expected = (
        body.replace(b"00:16:53:5a", start.to_bytes(4, "big").hex(":").encode())
        .replace(b"1 463 130", f"{start:,}".replace(",", " ").encode())
        .replace(b"[90, 83, 22, 0]", str(list(start.to_bytes(4, "little"))).encode())
    )
    assert grant.document == expected


def foreign_document() -> tuple[bytes, FieldGuide]:
    told = guided.document()
    told["safe"][1]["sent"] = "00:16:53:5a"
    told |= {"again": "1 463 130", "octets": [90, 83, 22, 0]}
    copies = (FieldRule("again", Reading.NUMBER), FieldRule("octets", Reading.OCTETS_TURNED))
    return json.dumps(told).encode(), guided.guide(counter_copies=copies)


def test_a_copy_whose_counter_has_no_room_is_refused_and_uses_up_no_number(spare):
    mesh = make.mesh(head_address=HEAD, extended_pan_id="8F3A5501C27BE904")
    told = guided.document()
    told["safe"][1]["sent"] = "0x0a5a"
    body = json.dumps(told).encode()
    confirm(guided.guide(), layout_fingerprint(decode(body)), "Orla", make.NOW)
    receive(mesh, body, Origin(How.PUSH, "controller"), make.NOW)

    with pytest.raises(GrantRefused, match=r"cannot be put into this document.*does not fit"):
        ask(Mesh.objects.get(pk=mesh.pk), spare, make.NOW, request={"second": "Orla"})
    assert not CounterEvidence.objects.filter(kind="restore").exists()


def test_a_radio_that_leads_another_mesh_gets_none(mesh):
    other = make.service(make.mesh())

    with pytest.raises(GrantRefused, match=f"{other.radio.code} leads {other.mesh.code}"):
        ask(mesh, other.radio)


def test_the_radio_in_service_may_be_put_back(mesh):
    assert ask(mesh, make.service(mesh).radio).document


def test_an_erased_copy_is_refused(mesh, spare):
    gone = mesh.snapshots.last()
    mesh.snapshots.filter(pk=gone.pk).update(custody="gone")

    with pytest.raises(GrantRefused, match="was erased"):
        ask(mesh, spare, snapshot=gone)


def test_no_repr_of_what_is_given_out_holds_the_document(mesh, spare):
    assert key(mesh.code).hex() not in repr(ask(mesh, spare)).lower()


def test_the_document_reads_back_as_the_same_mesh(mesh, spare):
    facts = own_layout.read(decode(ask(mesh, spare).document))

    assert facts.extended_pan_id == mesh.extended_pan_id
    assert facts.network_key == key(mesh.code)
