import pytest

from fleet.models import JournalEntry, Radio, RadioState, StockMove
from fleet.verbs.stock import StockRefused, move_radio, prove_blank, put_firmware, set_state
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf():
    return make.place(code="SHELF", name="Workshop", kind="shelf")


@pytest.fixture
def van():
    return make.place(code="VAN-9", name="Pekka's van")


@pytest.fixture
def radio(shelf):
    return make.spare(code="A2-0110", place=shelf)


def move(radio, target, seen, because="for Monday"):
    return move_radio(radio, target, seen, because, "Pekka", make.NOW)


def test_what_leaves_one_place_arrives_at_the_other(radio, shelf, van):
    moved = move(radio, van, shelf)

    assert (moved.source, moved.target) == (shelf, van)
    assert Radio.objects.get().place == van
    line = JournalEntry.objects.get(what="radio moved")
    assert (line.subject, line.details["source"], line.details["target"]) == ("A2-0110", "SHELF", "VAN-9")


def test_whoever_saw_it_elsewhere_is_told_where_it_is(radio, shelf, van):
    move(radio, van, shelf)

    with pytest.raises(StockRefused, match="from: A2-0110 is Pekka's van already; look again"):
        move(radio, None, shelf)

    assert StockMove.objects.count() == 1


def test_it_does_not_move_to_where_it_is(radio, shelf):
    with pytest.raises(StockRefused, match="to: A2-0110 lies there already"):
        move(radio, shelf, shelf)


def test_a_radio_on_air_is_not_moved_by_hand(van):
    leader = make.service(make.mesh()).radio
    with pytest.raises(StockRefused, match="on air; a replacement silences it first"):
        move(leader, van, None)


def test_a_radio_that_may_hold_a_key_does_not_leave_the_firm(radio, shelf):
    Radio.objects.update(state=RadioState.SILENCED)
    with pytest.raises(StockRefused, match="may hold a live key; wipe it before it leaves"):
        move(radio, None, shelf)


def test_a_proof_has_a_name_and_a_day(radio):
    Radio.objects.update(blank_proven_at=None, blank_proven_by="")

    prove_blank(radio, "Pekka", make.NOW)

    row = Radio.objects.get()
    assert (row.blank_proven_by, row.blank_proven_at) == ("Pekka", make.NOW)
    with pytest.raises(StockRefused, match="by: nobody was named"):
        prove_blank(radio, " ", make.NOW)


def test_a_silenced_radio_is_wiped_before_it_is_proven_blank(radio):
    Radio.objects.update(state=RadioState.SILENCED, blank_proven_at=None)

    with pytest.raises(StockRefused, match="is silenced; wipe it first"):
        prove_blank(radio, "Pekka", make.NOW)

    set_state(radio, RadioState.WIPED, "", "Pekka", make.NOW)
    assert prove_blank(radio, "Pekka", make.NOW).blank_proven_at


def test_another_build_on_it_takes_the_proof_away(radio):
    newer = make.release(radio.model)

    put_firmware(radio, newer, "Pekka", make.NOW)

    row = Radio.objects.get()
    assert (row.firmware, row.blank_proven_at) == (newer, None)


def test_a_build_of_another_model_is_refused(radio):
    with pytest.raises(StockRefused, match=r"firmware: .* is not for"):
        put_firmware(radio, make.release(), "Pekka", make.NOW)
    with pytest.raises(StockRefused, match="is on A2-0110 already"):
        put_firmware(radio, radio.firmware, "Pekka", make.NOW)


def test_a_missing_radio_needs_a_word_and_loses_its_proof(radio):
    with pytest.raises(StockRefused, match="because: say where it was seen last"):
        set_state(radio, RadioState.MISSING, "", "Pekka", make.NOW)

    set_state(radio, RadioState.MISSING, "left on the roof of the van", "Pekka", make.NOW)

    assert Radio.objects.get().blank_proven_at is None
    assert JournalEntry.objects.get(what="radio missing").details["was"] == "shelved"


def test_no_hand_puts_a_radio_on_air(radio):
    with pytest.raises(StockRefused, match="state: on air cannot follow shelved by hand"):
        set_state(radio, RadioState.ON_AIR, "", "Pekka", make.NOW)
