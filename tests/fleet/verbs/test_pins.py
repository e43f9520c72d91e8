"""Pins that people set: undo within the grace time, and legal holds."""

from datetime import timedelta

import pytest

from fleet.models import Custody, JournalEntry, Pin, PinKind, SealedBody
from fleet.verbs import pins
from fleet.verbs.keep import apply_rule
from tests import make

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture
def mesh():
    """A mesh whose rule keeps one day, with five dailies, four of them marked at NOW."""
    mesh = make.mesh(keep_rule=make.keep_rule(days=1, weeks=0, months=0, years=0))
    for age in range(5):
        make.sealed_body(make.snapshot(mesh, taken_at=make.NOW - age * DAY))
    apply_rule(mesh, make.NOW, True)
    return mesh


@pytest.fixture
def marked(mesh):
    return mesh.snapshots.filter(custody=Custody.DOOMED).last()


def later(mesh, days):
    apply_rule(mesh, make.NOW + days * DAY, True)


def keep(copy, days=0, **given):
    return pins.keep_by_hand(copy, "the insurer asks", "Noor", make.NOW + days * DAY, **given)


def test_a_marked_copy_that_somebody_keeps_on_the_sixth_day_stays(mesh, marked):
    keep(marked, days=6)

    later(mesh, 400)

    marked.refresh_from_db()
    assert (marked.custody, marked.holds, marked.doomed_at) == (Custody.PINNED, ["kept by hand"], None)
    assert SealedBody.objects.filter(snapshot=marked).exists()


def test_the_undo_shows_at_once(marked):
    keep(marked)

    marked.refresh_from_db()
    assert marked.custody == Custody.PINNED


def test_after_it_is_erased_nobody_keeps_it(mesh, marked):
    later(mesh, 8)

    with pytest.raises(pins.PinRefused, match="was erased on 2027-04-03"):
        keep(marked, days=8)
    assert not Pin.objects.exists()


def test_keeping_it_twice_is_keeping_it_once(marked):
    first = keep(marked)

    assert keep(marked, days=1) == first
    assert JournalEntry.objects.filter(what="copy kept by hand").count() == 1


def test_a_pin_says_who_when_and_why(mesh, marked):
    pin = keep(marked)

    assert (pin.by, pin.at, pin.reason) == ("Noor", make.NOW, "the insurer asks")
    line = JournalEntry.objects.get(what="copy kept by hand")
    assert (line.subject, line.details["reason"]) == (mesh.code, "the insurer asks")


def test_keeping_one_erases_nothing_that_was_due(mesh, marked):
    keep(marked, days=30)

    assert mesh.snapshots.filter(custody=Custody.GONE).count() == 0


def test_a_pin_taken_off_begins_the_whole_grace_time(mesh, marked):
    pin = keep(marked)
    pins.end(pin, "Noor", make.NOW + 100 * DAY)

    later(mesh, 106)
    marked.refresh_from_db()
    assert marked.custody == Custody.DOOMED

    later(mesh, 107)
    marked.refresh_from_db()
    assert marked.custody == Custody.GONE


def test_an_ended_pin_stays_on_record(marked):
    pin = keep(marked)

    pins.end(pin, "Tomasz", make.NOW + DAY)

    pin.refresh_from_db()
    assert (pin.ended_by, pin.ended_at) == ("Tomasz", make.NOW + DAY)


def test_all_marked_copies_of_a_mesh_are_kept_at_once(mesh):
    assert pins.keep_all_marked(mesh, "a slip of the rule", "Noor", make.NOW) == 4

    assert not mesh.snapshots.filter(custody=Custody.DOOMED).exists()
    assert JournalEntry.objects.get(what="all marked copies kept by hand").details["copies"] == 4


def test_with_nothing_marked_there_is_nothing_to_keep(mesh):
    pins.keep_all_marked(mesh, "a slip", "Noor", make.NOW)

    assert pins.keep_all_marked(mesh, "again", "Noor", make.NOW) == 0
    assert JournalEntry.objects.filter(what="all marked copies kept by hand").count() == 1


def test_a_legal_hold_on_a_mesh_holds_copies_that_come_later_too(mesh):
    pins.hold_mesh(mesh, "court order 12", "Orla", make.NOW)
    make.snapshot(mesh, taken_at=make.NOW + DAY)

    later(mesh, 50)

    assert mesh.snapshots.filter(custody=Custody.PINNED).count() == 6


def test_a_copy_may_be_held_by_hand_and_by_law(marked):
    keep(marked)
    keep(marked, kind=PinKind.LEGAL)

    marked.refresh_from_db()
    assert marked.holds == ["kept by hand", "legal hold"]


def test_of_a_mesh_out_of_care_nothing_is_marked_when_a_pin_goes(mesh, marked):
    pin = keep(marked)
    mesh.in_care = False
    mesh.save()

    pins.end(pin, "Noor", make.NOW + DAY)

    marked.refresh_from_db()
    assert marked.doomed_at is None
