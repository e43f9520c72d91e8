"""Trying a proposed guide on a waiting document, and confirming it."""

from dataclasses import replace
from datetime import timedelta

import pytest

from fleet.models import (
    FieldGuideRow,
    Grade,
    JournalEntry,
    KnownLayout,
    Mesh,
    SealedBody,
    Snapshot,
    TrayItem,
    TrayReason,
)
from fleet.queries.layouts import foreign
from fleet.snapshots.guides import FieldGuide
from fleet.snapshots.proposing import propose
from fleet.verbs.guides import Tried, confirm, confirm_for, try_out
from fleet.verbs.intake import Refusal
from fleet.verbs.tray import TrayRefused, clear
from tests import make
from tests.fleet import foreign_box

pytestmark = pytest.mark.django_db

LATER = make.NOW + timedelta(hours=3)


@pytest.fixture
def mesh() -> Mesh:
    return foreign_box.home_mesh(site=make.site(code="KELP-7"))


def proposed(body: bytes, name: str = "Box", choices=None, fixed=None) -> FieldGuide:
    return propose(foreign(body)).guide(name, choices, fixed)


def tried(item: TrayItem, body: bytes, choices=None) -> Tried:
    return try_out(proposed(body, choices=choices), item, foreign(body), body)


def test_trying_says_what_would_become_of_the_document_and_stores_nothing(mesh):
    item = foreign_box.waits(mesh)
    before = JournalEntry.objects.count()

    found = tried(item, foreign_box.body(mesh))

    assert found.is_taken_in
    assert found.outcome.snapshot.grade == Grade.SEEN_LIVE
    assert (found.facts.outgoing_counter, len(found.facts.nodes)) == (23_056_323, 24)
    assert not Snapshot.objects.exists()
    assert not FieldGuideRow.objects.exists()
    assert (JournalEntry.objects.count(), TrayItem.objects.filter(cleared_at=None).count()) == (before, 1)
    mesh.refresh_from_db()
    assert mesh.nodes.count() == 0


def test_trying_tells_the_findings_that_the_copy_would_have(mesh):
    body = foreign_box.body(mesh, outgoing_counter=0xFFFF_FFFF)

    found = tried(foreign_box.waits(mesh, body), body)

    assert "counter_spent" in [finding.code for finding in found.outcome.findings]


def test_trying_tells_that_the_document_is_anothers(mesh):
    body = foreign_box.body(make.mesh())

    found = tried(foreign_box.waits(mesh, body), body)

    assert isinstance(found.outcome, Refusal)
    assert found.outcome.reason == TrayReason.WRONG_HOME
    assert found.reason == "belongs to another mesh"


def test_a_guide_that_lacks_a_fact_reads_nothing_and_says_which(mesh):
    body = foreign_box.body(mesh)

    found = tried(foreign_box.waits(mesh, body), body, {"channel": None})

    assert found.facts is None
    assert "channel" in found.outcome.problems[0].expected


def test_confirming_takes_in_whatever_waits_in_that_layout(mesh):
    items = [
        foreign_box.waits(mesh, foreign_box.body(mesh, at, outgoing_counter=count), at)
        for at, count in ((make.NOW, 23_056_323), (LATER, 23_100_000))
    ]

    done = confirm_for(items[1], proposed(foreign_box.body(mesh)), "", "Orla", LATER)

    assert (done.taken_in, done.waiting) == (2, ())
    assert not TrayItem.objects.filter(cleared_at=None).exists()
    assert {copy.outgoing_counter for copy in Snapshot.objects.all()} == {23_056_323, 23_100_000}
    assert SealedBody.objects.filter(tray_item__isnull=False).count() == 0


def test_older_documents_are_read_before_newer_ones(mesh):
    newer = foreign_box.waits(mesh, foreign_box.body(mesh, LATER, outgoing_counter=23_100_000), LATER)
    foreign_box.waits(mesh, foreign_box.body(mesh))

    confirm_for(newer, proposed(foreign_box.body(mesh)), "", "Orla", LATER)

    assert not Snapshot.objects.filter(grade=Grade.HELD).exists()


def test_what_waits_for_another_reason_or_in_another_layout_is_left_alone(mesh):
    item = foreign_box.waits(mesh)
    other = foreign_box.waits(mesh, b'{"things": [1, 2, 3]}')
    broken = foreign_box.waits(mesh, b"no json")

    done = confirm_for(item, proposed(foreign_box.body(mesh)), "", "Orla", LATER)

    assert (done.taken_in, done.still_waiting) == (1, 0)
    assert set(TrayItem.objects.filter(cleared_at=None)) == {other, broken}


def test_what_cannot_be_taken_in_stays_the_same_item_with_its_new_reason(mesh):
    item = foreign_box.waits(mesh)
    strange = foreign_box.waits(mesh, foreign_box.body(make.mesh()))

    done = confirm_for(item, proposed(foreign_box.body(mesh)), "", "Orla", LATER)

    strange.refresh_from_db()
    assert (done.taken_in, [waiting.uid for waiting in done.waiting]) == (1, [strange.uid])
    assert (strange.reason, strange.cleared_at) == (TrayReason.WRONG_HOME, None)


def test_a_damaged_document_does_not_stop_the_others(mesh):
    damaged = foreign_box.waits(mesh, foreign_box.body(mesh, outgoing_counter=23_000_000))
    SealedBody.objects.filter(tray_item=damaged).update(sealed=bytes(64))
    item = foreign_box.waits(mesh)

    done = confirm_for(item, proposed(foreign_box.body(mesh)), "", "Orla", LATER)

    damaged.refresh_from_db()
    assert done.taken_in == 1
    assert damaged.cleared_at is None


def test_confirming_is_one_journal_line_with_what_left_and_what_waits(mesh):
    item = foreign_box.waits(mesh)

    confirm_for(item, proposed(foreign_box.body(mesh)), "", "Orla", LATER)

    entry = JournalEntry.objects.get(what="field guide confirmed")
    assert (entry.who, entry.details) == (
        "Orla",
        {"guide": "Box", "version": 1, "left_the_tray": 1, "wait": 0},
    )


def test_the_second_of_two_who_confirm_is_told_that_the_document_has_left(mesh):
    item = foreign_box.waits(mesh)
    guide = proposed(foreign_box.body(mesh))
    confirm_for(item, guide, "", "Orla", LATER)

    with pytest.raises(TrayRefused, match=r"Orla was faster.*read again with field guide Box 1"):
        confirm_for(item, replace(guide, name="Mine"), "", "Noor", LATER)

    assert FieldGuideRow.objects.count() == 1


def test_the_second_is_told_of_the_guide_where_the_document_still_waits(mesh):
    item = foreign_box.waits(mesh, foreign_box.without(mesh, "made", "at"))
    guide = proposed(foreign_box.without(mesh, "made", "at"))
    nowhere = {fact: replace(rule, expression="nowhere") for fact, rule in guide.rules.items()}
    unreadable = replace(guide, name="First", rules=nowhere)
    confirm_for(item, unreadable, "", "Orla", LATER)

    with pytest.raises(TrayRefused, match=r"Orla was faster.*“First”"):
        confirm_for(item, guide, "", "Noor", LATER)

    done = confirm_for(item, guide, "First 1", "Noor", LATER)
    assert done.taken_in == 1


def test_a_guide_whose_layout_it_reads_no_more_is_replaced_by_one_of_another_name(mesh):
    item = foreign_box.waits(mesh)
    guide = proposed(foreign_box.body(mesh))
    nowhere = {fact: replace(rule, expression="nowhere") for fact, rule in guide.rules.items()}
    confirm(replace(guide, name="Old", rules=nowhere), guide.fingerprints[0], "Orla", LATER)
    item.refresh_from_db()
    assert item.reason == TrayReason.UNREADABLE

    done = confirm_for(item, replace(guide, name="New"), "Old 1", "Noor", LATER)

    assert done.taken_in == 1
    assert KnownLayout.objects.get().guide.name == "New"
    assert FieldGuideRow.objects.filter(name="Old").exists()


def test_the_name_of_another_guide_is_refused_so_that_its_copies_stay_readable(mesh):
    item = foreign_box.waits(mesh)
    guide = proposed(foreign_box.body(mesh))
    confirm(replace(guide, name="Taken"), "0" * 32, "Orla", LATER)

    with pytest.raises(TrayRefused, match=r"“Taken” already.*another name"):
        confirm_for(item, replace(guide, name="Taken"), "", "Noor", LATER)

    assert FieldGuideRow.objects.get().version == 1


def test_a_cleared_document_confirms_nothing(mesh):
    item = foreign_box.waits(mesh)
    clear(item, "no use", "Noor", LATER)

    with pytest.raises(TrayRefused, match="Noor was faster"):
        confirm_for(item, proposed(foreign_box.body(mesh)), "", "Orla", LATER)

    assert not FieldGuideRow.objects.exists()


def test_a_copy_read_by_a_confirmed_guide_is_of_its_edition(mesh):
    item = foreign_box.waits(mesh)

    confirm_for(item, proposed(foreign_box.body(mesh)), "", "Orla", LATER)

    copy = Snapshot.objects.get()
    assert (copy.layout, copy.guide.edition, copy.received_at) == ("Box 1", "Box 1", make.NOW)
    assert copy.arrivals.get().by == "controller"
