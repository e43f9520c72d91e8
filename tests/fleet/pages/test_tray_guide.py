"""Trying and confirming the proposed field guide of a waiting document."""

import json

import pytest
from django.test import Client
from django.urls import reverse

from fleet.models import FieldGuideRow, JournalEntry, Mesh, Snapshot, TrayItem, TrayReason
from fleet.snapshots.guide_facts import Fact
from fleet.snapshots.guides import from_json
from fleet.verbs.seal import data_key_for, put_away
from tests import make
from tests.fleet import foreign_box
from tests.fleet.snapshots.foreign import key_hex

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh() -> Mesh:
    return foreign_box.home_mesh(site=make.site(code="KELP-7"))


def said(client: Client, item: TrayItem, act: str = "try", **data: str) -> str:
    form = {"name": "Box", "act": act, **data}
    answer = client.post(reverse("tray-guide", args=[item.uid]), form, follow=True)
    assert answer.status_code == 200
    return answer.content.decode()


def guide():
    return from_json(FieldGuideRow.objects.get().text)


def test_trying_says_what_the_document_would_say_and_stores_nothing(as_owner, mesh):
    html = said(as_owner, foreign_box.waits(mesh))

    assert "Read this way, it would become a sound copy with 24 devices." in html
    assert "23,056,323" in html
    assert "Confirm this field guide" in html
    assert not FieldGuideRow.objects.exists()
    assert not Snapshot.objects.exists()


def test_confirming_says_how_many_left_the_tray(as_owner, mesh):
    item = foreign_box.waits(mesh)
    foreign_box.waits(mesh, foreign_box.body(mesh, outgoing_counter=23_000_000))

    html = said(as_owner, item, "confirm")

    assert "The field guide “Box” is confirmed. 2 documents left the tray." in html
    assert Snapshot.objects.count() == 2


def test_confirming_says_how_many_still_wait_and_why(as_owner, mesh):
    item = foreign_box.waits(mesh)
    foreign_box.waits(mesh, foreign_box.body(make.mesh()))
    told = json.loads(foreign_box.body(mesh))
    told["radio"]["slot"] = "fifteen"
    foreign_box.waits(mesh, json.dumps(told).encode())

    html = said(as_owner, item, "confirm")

    assert "One document left the tray. 2 still wait" in html
    assert "1 belongs to another mesh" in html
    assert "1 could not be read" in html


def test_another_candidate_is_taken_where_one_is_chosen(as_owner, mesh):
    item = foreign_box.waits(mesh)

    html = said(as_owner, item, **{"pick:extended_pan_id": "2", "pick:head_address": "2"})

    assert "Read this way, the document would still wait in the tray." in html
    assert "It would wait: belongs to another mesh." in html


def test_a_fact_can_be_left_out(as_owner, mesh):
    item = foreign_box.waits(mesh)

    said(as_owner, item, "confirm", **{"pick:channel_mask": "out", "pick:nodes[0].label": "out"})

    assert Fact.CHANNEL_MASK not in guide().rules
    assert "label" not in guide().tables[0].rules


def test_a_required_fact_that_was_not_found_is_asked_for(as_owner, mesh):
    item = foreign_box.waits(mesh, foreign_box.without(mesh, "radio", "slot"))
    html = as_owner.get(reverse("tray-item", args=[item.uid])).content.decode()
    assert 'name="where:channel"' in html

    html = said(as_owner, item)

    assert "The field guide is not complete yet." in html
    assert "<code>channel</code>: right is where it stands in the document, or what it is" in html


def test_what_a_layout_leaves_out_can_be_stated(as_owner, mesh):
    told = json.loads(foreign_box.without(mesh, "lock", "turn"))
    told["made"].pop("build")
    told["boss"].pop("near")
    item = foreign_box.waits(mesh, json.dumps(told).encode())
    assert "not complete yet" in said(as_owner, item)

    said(as_owner, item, "confirm", **{"value:key_sequence": "2"})

    assert guide().fixed == {Fact.KEY_SEQUENCE: 2}
    assert Snapshot.objects.get().key_sequence == 2


def test_a_place_can_be_said_by_hand(as_owner, mesh):
    item = foreign_box.waits(mesh)

    html = said(as_owner, item, **{"where:pan_id": "radio.id", "as:pan_id": "hex"})

    assert "as you say" in html
    assert "would become a sound copy" in html


@pytest.mark.parametrize(
    ("data", "right"),
    [
        ({"name": ""}, "a name of 1 to 60 characters"),
        ({"name": "x" * 61}, "a name of 1 to 60 characters"),
        ({"pick:channel": "7"}, "1 or out"),
        ({"pick:colour": "1"}, "one of the places"),
        ({"value:key_sequence": "300"}, "a number from 0 to 255"),
        ({"where:pan_id": "radio..id", "as:pan_id": "hex"}, "an expression in JMESPath"),
        ({"where:pan_id": "radio.id", "as:pan_id": "text"}, "how it is written"),
    ],
)
def test_what_cannot_be_meant_is_said_and_nothing_is_stored(as_owner, mesh, data, right):
    html = said(as_owner, foreign_box.waits(mesh), "confirm", **data)

    assert right in html
    assert not FieldGuideRow.objects.exists()


def test_a_guide_that_does_not_read_the_document_is_not_confirmed(as_owner, mesh):
    item = foreign_box.waits(mesh)

    html = said(as_owner, item, "confirm", **{"where:channel": "nowhere", "as:channel": "number"})

    assert "Read this way, the document would still wait in the tray." in html
    assert "nowhere" in html
    assert not FieldGuideRow.objects.exists()


def test_the_second_of_two_people_is_told_and_nothing_happens_twice(as_owner, technician, mesh):
    item = foreign_box.waits(mesh)
    second = Client()
    second.force_login(technician)
    said(as_owner, item)
    said(second, item)
    said(as_owner, item, "confirm")

    html = said(second, item, "confirm", name="Mine")

    assert "was faster" in html
    assert FieldGuideRow.objects.get().name == "Box"
    assert Snapshot.objects.count() == 1


def test_a_name_that_is_taken_is_refused(as_owner, mesh):
    said(as_owner, foreign_box.waits(mesh), "confirm")
    other = foreign_box.waits(mesh, foreign_box.without(mesh, "made", "by"))

    html = said(as_owner, other, "confirm")

    assert "There is a field guide “Box” already" in html
    assert FieldGuideRow.objects.get().version == 1


def test_a_layout_whose_guide_fails_shows_the_problems_and_a_new_proposal(as_owner, mesh):
    first = foreign_box.waits(mesh)
    said(
        as_owner, first, "confirm", **{"where:taken_at": "made.at", "as:taken_at": "milliseconds_since_1970"}
    )
    told = json.loads(foreign_box.body(mesh, outgoing_counter=23_100_000))
    told["radio"]["id"] = int(told["radio"]["id"], 16) * 65_537
    item = foreign_box.waits(mesh, json.dumps(told).encode())
    assert item.reason == TrayReason.UNREADABLE

    html = as_owner.get(reverse("tray-item", args=[item.uid])).content.decode()

    assert "The field guide “Box” knows this layout, and found this" in html
    assert "radio.id" in html
    assert "What it seems to say now" in html
    assert 'name="known_by" value="Box 1"' in html


def test_a_failing_guide_gives_way_to_the_one_confirmed_instead(as_owner, mesh):
    said(as_owner, foreign_box.waits(mesh), "confirm")
    told = json.loads(foreign_box.body(mesh, outgoing_counter=23_100_000))
    told["radio"]["id"] = str(int(told["radio"]["id"], 16))
    told["radio"]["slot"] = [told["radio"]["slot"]]
    item = foreign_box.waits(mesh, json.dumps(told).encode())

    said(
        as_owner,
        item,
        "confirm",
        name="Box, new",
        known_by="Box 1",
        **{
            "where:channel": "radio.slot[0]",
            "as:channel": "number",
            "where:pan_id": "radio.id",
            "as:pan_id": "number",
        },
    )

    item.refresh_from_db()
    assert item.cleared_because.startswith("read again with field guide Box, new")


def test_a_document_that_came_just_before_its_guide_is_read_again_with_one_button(as_owner, mesh):
    item = foreign_box.waits(mesh)
    late = TrayItem.objects.get()
    said(as_owner, foreign_box.waits(mesh, foreign_box.body(mesh, outgoing_counter=23_000_000)), "confirm")
    TrayItem.objects.filter(pk=late.pk).update(cleared_at=None)
    late.refresh_from_db()
    put_away(late, foreign_box.body(mesh), data_key_for(mesh, make.NOW))

    html = as_owner.get(reverse("tray-item", args=[item.uid])).content.decode()
    assert "This document waits because it came before the book knew its layout." in html
    assert 'name="mesh" value="KELP-7-A">Read it again</button>' in html

    as_owner.post(reverse("tray-send", args=[item.uid]), {"mesh": "KELP-7-A"})
    late.refresh_from_db()
    assert late.cleared_because == "read again"


def test_a_document_that_is_ours_or_no_json_offers_no_guide(as_owner, mesh):
    html = said(as_owner, foreign_box.waits(mesh, b"no json"))

    assert "No field guide can be proposed for this document." in html


def test_a_guide_never_keeps_a_key_that_names_a_member(as_owner, mesh):
    told = json.loads(foreign_box.body(mesh))
    secret = key_hex(foreign_box.facts(mesh).network_key)
    told[secret] = told.pop("things")
    item = foreign_box.waits(mesh, json.dumps(told).encode())

    html = as_owner.get(reverse("tray-item", args=[item.uid])).content.decode()
    html += said(as_owner, item, "confirm")

    assert secret not in html
    assert "no name that could be a key" in html
    assert not FieldGuideRow.objects.exists()


def test_trying_opens_the_document_and_says_so_in_the_journal(as_owner, mesh):
    said(as_owner, foreign_box.waits(mesh))

    assert JournalEntry.objects.filter(what="tray item opened", subject="KELP-7-A").count() == 1
