import pytest

from fleet.models import JournalEntry, Radio, RadioState, Replacement
from fleet.planning.replacing.states import State
from fleet.verbs.replacing.asking import Wish, ask, plan
from fleet.verbs.replacing.moving import MoveRefused
from tests import make
from tests.fleet.verbs.replacing.conftest import DAY, HOUR, MORNING, arrived, step_to

pytestmark = pytest.mark.django_db


def test_the_radio_in_service_is_the_one_to_be_replaced(mesh):
    swap = ask(mesh, Wish("failed", "it drops devices"), "Orla", MORNING)

    assert (swap.stands, swap.old_radio.code, swap.new_radio) == (State.ASKED, "OLD-1", None)
    assert JournalEntry.objects.get(what="replacement asked").details["because"] == "it drops devices"


def test_a_mesh_has_one_replacement_under_way(swap):
    with pytest.raises(MoveRefused, match="a replacement is asked already"):
        ask(swap.mesh, Wish("upgrade", "once more"), "Orla", MORNING)


def test_after_a_dropped_one_there_may_be_another(swap):
    step_to(swap, State.DROPPED, note="not needed")

    assert ask(swap.mesh, Wish("upgrade", "a better one"), "Orla", MORNING).stands is State.ASKED


def test_a_reason_is_needed(mesh):
    with pytest.raises(MoveRefused, match="asked_because: nothing was written"):
        ask(mesh, Wish("failed", "  "), "Orla", MORNING)


def test_a_reason_of_no_known_kind_is_named(mesh):
    with pytest.raises(MoveRefused, match="why: Value 'boredom' is not a valid choice"):
        ask(mesh, Wish("boredom", "no reason"), "Orla", MORNING)


def test_a_radio_that_leads_another_mesh_cannot_take_over(mesh):
    leader = make.service(make.mesh()).radio

    with pytest.raises(MoveRefused, match=f"new_radio: {leader.code} is on air; choose a spare"):
        ask(mesh, Wish("failed", "it drops devices", leader), "Orla", MORNING)


def test_one_spare_is_meant_for_one_swap_only(swap):
    other = make.service(make.mesh()).mesh

    with pytest.raises(MoveRefused, match=f"NEW-1 is meant for {swap.mesh.code}; choose another"):
        ask(other, Wish("failed", "it drops devices", swap.new_radio), "Orla", MORNING)


def test_an_agreed_radio_is_booked_and_let_go_of_when_another_is_chosen(swap):
    swap = step_to(swap, State.AGREED)
    assert Radio.objects.get(code="NEW-1").state == RadioState.BOOKED

    other = make.spare(firmware=swap.new_radio.firmware, code="NEW-2")
    plan(swap, {"new_radio": other}, "Orla", MORNING)

    states = dict(Radio.objects.filter(code__startswith="NEW").values_list("code", "state"))
    assert states == {"NEW-1": RadioState.SHELVED, "NEW-2": RadioState.BOOKED}


def test_the_radio_stays_once_it_is_packed(swap):
    swap = arrived(swap)

    with pytest.raises(MoveRefused, match="new_radio: one is packed already"):
        plan(swap, {"new_radio": make.spare()}, "Orla", MORNING)


def test_what_was_agreed_stays_once_the_old_radio_is_silent(swap):
    swap = step_to(arrived(swap), State.SILENCED)

    with pytest.raises(MoveRefused, match="state: it is silenced; what was agreed can no longer be changed"):
        plan(swap, {"needs_two": True}, "Orla", MORNING)


def test_a_time_that_ends_before_it_begins_is_refused_and_nothing_is_written(swap):
    with pytest.raises(MoveRefused, match="ends_at: the time must end after it begins"):
        plan(swap, {"begins_at": MORNING, "ends_at": MORNING - HOUR}, "Orla", MORNING)

    assert Replacement.objects.get().begins_at == MORNING + HOUR


def test_an_erased_home_has_nothing_to_replace(mesh):
    mesh.site.client.erased_at = MORNING - DAY
    mesh.site.client.save()

    with pytest.raises(MoveRefused, match="was erased with its client"):
        ask(mesh, Wish("failed", "it drops devices"), "Orla", MORNING)
