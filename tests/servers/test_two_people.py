"""People and machines at the tray at the same time: one is first, the other is told, and nobody waits for ever."""

from datetime import timedelta

import pytest

from fleet.models import FieldGuideRow, Mesh, Snapshot, TrayItem
from fleet.queries.layouts import foreign
from fleet.snapshots.guides import FieldGuide
from fleet.snapshots.proposing import propose
from fleet.verbs.guides import Confirmed, confirm_for
from fleet.verbs.intake import Receipt, receive
from fleet.verbs.tray import TrayRefused, clear, send_to
from tests import make
from tests.fleet import foreign_box
from tests.servers.together import at_once

pytestmark = pytest.mark.django_db(transaction=True)

LATER = make.NOW + timedelta(hours=1)


def guide(mesh: Mesh, name: str) -> FieldGuide:
    return propose(foreign(foreign_box.body(mesh))).guide(name)


@pytest.mark.parametrize("same_item", [True, False])
def test_of_two_who_confirm_at_once_one_is_told_that_the_other_was_faster(same_item):
    mesh = foreign_box.home_mesh()
    first = foreign_box.waits(mesh)
    second = (
        first if same_item else foreign_box.waits(mesh, foreign_box.body(mesh, outgoing_counter=23_000_000))
    )
    ours, theirs = guide(mesh, "Ours"), guide(mesh, "Theirs")

    outcomes = at_once(
        lambda: confirm_for(first, ours, "", "Orla", LATER),
        lambda: confirm_for(second, theirs, "", "Noor", LATER),
    )

    assert sorted(type(outcome).__name__ for outcome in outcomes) == ["Confirmed", "TrayRefused"]
    assert "was faster" in str(next(outcome for outcome in outcomes if isinstance(outcome, TrayRefused)))
    assert FieldGuideRow.objects.count() == 1
    assert not TrayItem.objects.filter(cleared_at=None).exists()


def test_clearing_sending_and_confirming_one_document_at_once_does_one_of_them():
    mesh, other = foreign_box.home_mesh(), make.mesh()
    item, ours = foreign_box.waits(mesh), guide(mesh, "Ours")

    outcomes = at_once(
        lambda: clear(item, "no use", "Orla", LATER),
        lambda: send_to(item, other, "Noor", LATER),
        lambda: confirm_for(item, ours, "", "Pekka", LATER),
    )

    assert [type(outcome).__name__ for outcome in outcomes].count("TrayRefused") == 2


def test_copies_that_are_pushed_while_a_guide_is_confirmed_are_all_taken_in():
    mesh = foreign_box.home_mesh()
    item, ours = foreign_box.waits(mesh), guide(mesh, "Ours")
    bodies = [foreign_box.body(mesh, outgoing_counter=23_000_000 + place) for place in range(6)]
    pushes = [
        lambda body=body: receive(mesh, body, foreign_box.ORIGIN, LATER)
        for body in (*bodies, foreign_box.body(mesh))
    ]

    outcomes = at_once(*pushes, lambda: confirm_for(item, ours, "", "Orla", LATER))

    assert all(isinstance(outcome, Receipt | Confirmed) for outcome in outcomes), outcomes
    for waiting in TrayItem.objects.filter(cleared_at=None):
        send_to(waiting, mesh, "Orla", LATER)
    assert Snapshot.objects.count() == 7
