from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from fleet.models import (
    Drill,
    JournalEntry,
    Node,
    Radio,
    RadioState,
    Replacement,
    SealedPhoto,
    ServicePeriod,
    SilenceProof,
    Silencing,
)
from fleet.planning.replacing.states import LEGAL, State
from fleet.queries.replacing.photos import open_photo
from fleet.verbs.grant import GrantRefused, Request, restore_document
from fleet.verbs.replacing.asking import plan
from fleet.verbs.replacing.marking import Tick, mark
from fleet.verbs.replacing.moving import MoveRefused, Step, move
from fleet.verbs.replacing.photos import PhotoRefused, made_small
from fleet.verbs.replacing.writing import give_out
from fleet.verbs.stock import StockRefused, prove_blank, set_state
from tests import make
from tests.fleet.verbs.replacing.conftest import DAY, HOUR, MORNING, arrived, photo, step_to

pytestmark = pytest.mark.django_db


def in_state(swap, state):
    """Straight into a state, for moves that need not have come by the way there."""
    Replacement.objects.filter(pk=swap.pk).update(state=state.value, number=20_000_000)
    swap.refresh_from_db()
    return swap


def silenced(swap, **given):
    return step_to(arrived(swap), State.SILENCED, **given)


def awake(swap):
    swap = silenced(swap)
    give_out(swap, "Noor", MORNING)
    swap.refresh_from_db()
    return step_to(swap, State.WAKING, MORNING + HOUR)


def all_heard(swap, at):
    for node in swap.mesh.nodes.all():
        mark(swap, node, Tick(heard=True, tried_by_hand=bool(node.safety_kind)), "Noor", at)


def test_a_swap_goes_all_the_way_and_every_step_is_on_record(swap):
    swap = awake(swap)
    all_heard(swap, MORNING + 2 * HOUR)
    swap = step_to(swap, State.ACCEPTED, MORNING + 3 * HOUR)
    Radio.objects.filter(code="OLD-1").update(state=RadioState.WIPED)
    swap.refresh_from_db()
    swap = step_to(swap, State.CLOSED, MORNING + 31 * DAY)

    became = ["asked", "agreed", "packed", "arrived", "silenced", "written", "waking", "accepted", "closed"]
    assert list(swap.moves.values_list("became", flat=True)) == became
    assert list(JournalEntry.objects.filter(what="replacement waking").values_list("who", flat=True)) == [
        "Noor"
    ]


def test_the_new_radio_speaks_with_the_old_ones_address_and_the_old_one_is_silent(swap):
    awake(swap)

    old, new = Radio.objects.get(code="OLD-1"), Radio.objects.get(code="NEW-1")
    assert (old.state, new.state) == (RadioState.SILENCED, RadioState.ON_AIR)
    assert new.address == swap.mesh.head_address
    assert new.blank_proven_at is None
    assert ServicePeriod.objects.get(mesh=swap.mesh, until=None).radio == new
    assert ServicePeriod.objects.get(radio=old).why_ended == "failed"


def test_a_write_once_address_is_spent_by_going_on_air(swap):
    swap.new_radio.model.address_policy = "write_once"
    swap.new_radio.model.save()

    awake(swap)

    assert Radio.objects.get(code="NEW-1").address_written


@pytest.mark.parametrize("was", State, ids=lambda state: state.value)
def test_from_no_state_is_an_undrawn_move_made(swap, was):
    in_state(swap, was)
    for to in State:
        if to in LEGAL[was]:
            continue
        with pytest.raises(MoveRefused, match="state:"):
            move(swap, Step(to, seen=was, by="Noor", note="why not"), MORNING)
    assert Replacement.objects.get().state == was.value


def test_the_second_of_two_who_make_the_same_move_is_told_who_made_it(swap):
    seen = arrived(swap)
    step_to(seen, State.SILENCED)
    late = Step(State.SILENCED, seen=State.ARRIVED, by="Pekka", silencing=Silencing.UNPLUGGED, photo=photo())

    with pytest.raises(MoveRefused, match="silenced already by Noor at 08:00 UTC"):
        move(seen, late, MORNING)

    assert SilenceProof.objects.count() == 1


def test_nothing_is_packed_while_one_of_the_twelve_is_open(swap):
    Radio.objects.filter(code="NEW-1").update(blank_proven_at=None)
    swap = step_to(swap, State.AGREED)

    with pytest.raises(MoveRefused, match="blank: The spare was not proven blank"):
        step_to(swap, State.PACKED)

    assert Radio.objects.get(code="NEW-1").state == RadioState.BOOKED


def test_a_copy_older_than_a_day_holds_the_packing(swap):
    swap = step_to(swap, State.AGREED)

    with pytest.raises(MoveRefused, match="copy: The newest sound copy is 25 hours old"):
        step_to(swap, State.PACKED, MORNING + DAY)


def test_nobody_agrees_without_a_name_from_the_house(swap):
    Replacement.objects.update(consent_by="")
    swap.refresh_from_db()

    with pytest.raises(MoveRefused, match="consent_by: nobody in the house"):
        step_to(swap, State.AGREED)


def test_a_radio_is_not_silenced_on_somebodys_word_alone(swap):
    swap = arrived(swap)

    with pytest.raises(MoveRefused, match="photo: show OLD-1 unplugged, or have a second person"):
        step_to(swap, State.SILENCED, photo=None)
    with pytest.raises(MoveRefused, match="second: the second person must be somebody other"):
        step_to(swap, State.SILENCED, photo=None, second="noor")
    with pytest.raises(MoveRefused, match="how: say how OLD-1 was silenced"):
        step_to(swap, State.SILENCED, silencing=None)

    assert ServicePeriod.objects.filter(until=None).count() == 1
    assert step_to(swap, State.SILENCED, photo=None, second="Pekka").stands is State.SILENCED


def test_a_photo_is_made_small_loses_what_the_camera_wrote_and_lies_sealed(swap):
    silenced(swap)

    row = SealedPhoto.objects.get()
    jpeg = open_photo(row)
    assert jpeg[:2] == b"\xff\xd8"
    assert b"Exif" not in jpeg
    assert jpeg[:200] not in bytes(row.sealed)
    from io import BytesIO

    from PIL import Image

    assert max(Image.open(BytesIO(jpeg)).size) == 1600


def test_what_is_no_picture_is_refused_and_nothing_is_written(swap):
    swap = arrived(swap)

    with pytest.raises(PhotoRefused, match="photo: this is no picture"):
        step_to(swap, State.SILENCED, photo=b"%PDF-1.7 no picture")

    swap.refresh_from_db()
    assert (swap.stands, SilenceProof.objects.count()) == (State.ARRIVED, 0)
    with pytest.raises(PhotoRefused, match="photo: 26 MB; a photo has at most 25 MB"):
        made_small(bytes(26 * 1024 * 1024))


def test_writing_cannot_be_reached_before_the_old_radio_is_recorded_silenced(swap):
    swap = arrived(swap)

    with pytest.raises(MoveRefused, match="given out once the old radio is recorded silenced"):
        give_out(swap, "Noor", MORNING)
    with pytest.raises(MoveRefused, match="state: written cannot follow arrived"):
        step_to(swap, State.WRITTEN)

    assert not JournalEntry.objects.filter(what="restore document given out").exists()


def test_even_a_row_that_says_silenced_gives_nothing_out_while_a_radio_speaks(swap):
    in_state(swap, State.SILENCED)

    with pytest.raises(MoveRefused, match=r"OLD-1 speaks for .* still"):
        give_out(swap, "Noor", MORNING)


def test_every_attempt_at_writing_gets_a_higher_number(swap):
    swap = silenced(swap)

    first = give_out(swap, "Noor", MORNING)
    again = give_out(swap, "Noor", MORNING)

    assert again.start.value > first.start.value
    swap.refresh_from_db()
    assert (swap.state, swap.number) == ("written", again.start.value)
    assert swap.moves.filter(became="written").count() == 1


def test_a_stale_copy_is_given_out_to_two_people_only(swap):
    swap = silenced(swap)
    swap.mesh.snapshots.update(currency="stale")

    with pytest.raises(GrantRefused, match="second: a second person must confirm"):
        give_out(swap, "Noor", MORNING)

    assert give_out(swap, "Noor", MORNING, second="Pekka").start.value
    assert Replacement.objects.get().state == "written"


def test_two_radios_of_one_mesh_are_never_on_air_by_the_database_itself(swap):
    awake(swap)
    other = make.radio(code="OTHER")

    with pytest.raises(IntegrityError), transaction.atomic():
        ServicePeriod.objects.create(
            radio=other,
            mesh=swap.mesh,
            head_address=swap.mesh.head_address,
            extended_pan_id=swap.mesh.extended_pan_id,
            since=MORNING + 2 * HOUR,
        )


def test_it_is_not_accepted_while_devices_are_late(swap):
    swap = awake(swap)

    with pytest.raises(MoveRefused, match=r"not yet accepted, because .* should have answered have"):
        step_to(swap, State.ACCEPTED, MORNING + 9 * HOUR)


def test_a_safety_device_must_be_tried_by_hand_before_accepting(swap):
    Node.objects.filter(pk=swap.mesh.nodes.first().pk).update(safety_kind="lock", by_hand="turn the key")
    swap.fall_backs_told = True
    swap.save()
    swap = awake(swap)
    for node in swap.mesh.nodes.all():
        mark(swap, node, Tick(heard=True), "Noor", MORNING + 2 * HOUR)

    with pytest.raises(MoveRefused, match="1 device that guard people or the house must be tried by hand"):
        step_to(swap, State.ACCEPTED, MORNING + 3 * HOUR)

    lock = swap.mesh.nodes.get(safety_kind="lock")
    mark(swap, lock, Tick(tried_by_hand=True), "Noor", MORNING + 3 * HOUR)
    assert step_to(swap, State.ACCEPTED, MORNING + 3 * HOUR).stands is State.ACCEPTED
    assert Node.objects.get(pk=lock.pk).tested_by_hand_on == MORNING.date()


def test_an_accepted_swap_counts_for_the_record_of_its_pair(swap):
    swap = awake(swap)
    all_heard(swap, MORNING + 2 * HOUR)
    step_to(swap, State.ACCEPTED, MORNING + 3 * HOUR)

    drill = Drill.objects.get(kind="live")
    assert (drill.result, drill.minutes, drill.radio.code) == ("passed", 180, "NEW-1")


def test_it_is_closed_only_after_the_watch_and_with_the_old_radio_wiped(swap):
    swap = awake(swap)
    all_heard(swap, MORNING + 2 * HOUR)
    swap = step_to(swap, State.ACCEPTED, MORNING + 3 * HOUR)

    with pytest.raises(MoveRefused, match="it is watched until"):
        step_to(swap, State.CLOSED, MORNING + 29 * DAY)
    with pytest.raises(MoveRefused, match="OLD-1: it may hold the key still"):
        step_to(swap, State.CLOSED, MORNING + 31 * DAY)


def test_backing_out_silences_the_new_radio_before_the_old_one_speaks(swap):
    swap = awake(swap)

    with pytest.raises(MoveRefused, match="how: say how NEW-1 was silenced"):
        step_to(swap, State.BACKING_OUT, MORNING + 2 * HOUR, note="locks do not answer")
    swap = step_to(
        swap, State.BACKING_OUT, MORNING + 2 * HOUR, note="locks do not answer", silencing=Silencing.UNPLUGGED
    )
    assert not ServicePeriod.objects.filter(mesh=swap.mesh, until=None).exists()
    with pytest.raises(MoveRefused, match="number: OLD-1 was given none since it was silenced"):
        step_to(swap, State.BACKED_OUT, MORNING + 3 * HOUR, note="plugged in again")
    old = Radio.objects.get(code="OLD-1")
    restore_document(swap.mesh, Request(old, "Noor", "way back"), MORNING + 3 * HOUR)
    swap = step_to(swap, State.BACKED_OUT, MORNING + 3 * HOUR, note="written anew with its own number")

    assert ServicePeriod.objects.get(mesh=swap.mesh, until=None).radio.code == "OLD-1"
    assert Drill.objects.get(kind="live").result == "failed"


def test_a_stranded_mesh_has_no_voice_and_can_be_joined_anew(swap):
    swap = awake(swap)
    swap = step_to(swap, State.BACKING_OUT, MORNING + 2 * HOUR, note="deaf", silencing=Silencing.UNPLUGGED)
    swap = step_to(swap, State.STRANDED, MORNING + 3 * HOUR, note="the old one is deaf too; heating by hand")

    assert not ServicePeriod.objects.filter(mesh=swap.mesh, until=None).exists()
    with pytest.raises(MoveRefused, match="note: say under which number"):
        step_to(swap, State.WAKING, MORNING + 4 * HOUR)
    joined = step_to(swap, State.WAKING, MORNING + 4 * HOUR, note="every device is joined anew")
    assert joined.stands is State.WAKING


def test_a_dropped_swap_frees_its_radio(swap):
    swap = step_to(step_to(swap, State.AGREED), State.PACKED)

    with pytest.raises(MoveRefused, match="note: say in a few words why it is dropped"):
        step_to(swap, State.DROPPED)
    step_to(swap, State.DROPPED, note="the old one only wanted a new lead")

    assert Radio.objects.get(code="NEW-1").state == RadioState.SHELVED


def test_a_stolen_radio_is_recorded_as_missing(swap):
    silenced(swap, silencing=Silencing.GONE, photo=None, second="Pekka")

    assert Radio.objects.get(code="OLD-1").state == RadioState.MISSING


def test_ticking_off_is_for_a_radio_that_speaks(swap):
    with pytest.raises(MoveRefused, match="devices are ticked off once a radio speaks"):
        mark(swap, swap.mesh.nodes.first(), Tick(heard=True), "Noor", MORNING)


def test_a_device_of_another_mesh_is_not_ticked_off(swap):
    stranger = make.node(make.mesh())

    with pytest.raises(MoveRefused, match="is not one of"):
        mark(awake(swap), stranger, Tick(heard=True), "Noor", MORNING + timedelta(hours=2))


def test_the_new_radio_hangs_where_the_old_one_hung(swap):
    Radio.objects.filter(code="OLD-1").update(spot="Hall, 2.1 m up", feed="left socket", breaker="F4")
    Radio.objects.filter(code="NEW-1").update(spot="Tool case")

    awake(swap)

    old, new = Radio.objects.get(code="OLD-1"), Radio.objects.get(code="NEW-1")
    assert (new.spot, new.feed, new.breaker) == ("Hall, 2.1 m up", "left socket", "F4")
    assert (old.spot, old.feed, old.breaker) == ("", "", "")


def test_what_was_agreed_is_judged_again_at_the_door(swap):
    swap = step_to(step_to(swap, State.AGREED), State.PACKED)
    plan(swap, {"consent_by": "", "technician": None}, "Orla", MORNING)

    with pytest.raises(MoveRefused, match="people: Nobody was named to go"):
        step_to(swap, State.ARRIVED)


def test_another_day_or_hour_than_agreed_takes_two_people(swap):
    swap = step_to(step_to(swap, State.AGREED), State.PACKED)
    saturday = MORNING + 5 * DAY

    with pytest.raises(MoveRefused, match=r"window: against this hour: .* was agreed; it is a Friday, a Sat"):
        step_to(swap, State.ARRIVED, saturday)

    assert step_to(swap, State.ARRIVED, saturday, second="Pekka").stands is State.ARRIVED


def test_a_written_radio_is_no_blank_spare_until_it_was_wiped(swap):
    swap = silenced(swap)
    give_out(swap, "Noor", MORNING)
    swap.refresh_from_db()
    new = Radio.objects.get(code="NEW-1")
    assert new.blank_proven_at is None
    with pytest.raises(StockRefused, match=r"NEW-1 is part of the replacement of .*, which is written"):
        prove_blank(new, "Noor", MORNING)
    with pytest.raises(MoveRefused, match="photo: show NEW-1 unplugged"):
        step_to(swap, State.BACKING_OUT, note="no", silencing=Silencing.UNPLUGGED, photo=None)

    swap = step_to(swap, State.BACKING_OUT, note="it does not start", silencing=Silencing.UNPLUGGED)
    swap = step_to(swap, State.BACKED_OUT, note="deaf", without_number=True)
    with pytest.raises(MoveRefused, match="NEW-1: it may hold the key still"):
        step_to(swap, State.CLOSED)
    set_state(new, RadioState.WIPED, "", "Noor", MORNING)
    swap.refresh_from_db()

    assert step_to(swap, State.CLOSED).stands is State.CLOSED


@pytest.mark.parametrize("state", [RadioState.SCRAPPED, RadioState.MISSING, RadioState.SHELVED])
def test_only_a_prepared_or_silenced_radio_goes_on_air(swap, state):
    swap = silenced(swap)
    give_out(swap, "Noor", MORNING)
    swap.refresh_from_db()
    Radio.objects.filter(code="NEW-1").update(state=state)

    with pytest.raises(MoveRefused, match="only a prepared or a silenced radio goes on air"):
        step_to(swap, State.WAKING)


def test_what_was_ticked_under_another_radio_counts_for_nothing(swap):
    swap = awake(swap)
    all_heard(swap, MORNING + 2 * HOUR)
    for to, hours in ((State.BACKING_OUT, 3), (State.STRANDED, 4)):
        given = {"silencing": Silencing.UNPLUGGED} if to is State.BACKING_OUT else {}
        swap = step_to(swap, to, MORNING + hours * HOUR, note="deaf", **given)
    swap = step_to(swap, State.WAKING, MORNING + 5 * HOUR, note="joined anew")

    with pytest.raises(MoveRefused, match="not yet accepted"):
        step_to(swap, State.ACCEPTED, MORNING + 9 * HOUR)
    all_heard(swap, MORNING + 9 * HOUR)

    assert step_to(swap, State.ACCEPTED, MORNING + 9 * HOUR).stands is State.ACCEPTED


def test_a_device_that_a_later_copy_no_longer_lists_is_still_waited_for(swap):
    swap = awake(swap)
    alarm = swap.mesh.nodes.first()
    Node.objects.filter(pk=alarm.pk).update(safety_kind="smoke", gone_since=MORNING + 2 * HOUR)
    for node in swap.mesh.nodes.exclude(pk=alarm.pk):
        mark(swap, node, Tick(heard=True), "Noor", MORNING + 2 * HOUR)

    with pytest.raises(MoveRefused, match="must be tried by hand"):
        step_to(swap, State.ACCEPTED, MORNING + 9 * HOUR)


def test_a_tick_can_be_taken_back_and_the_test_by_hand_with_it(swap):
    swap = awake(swap)
    lock = swap.mesh.nodes.first()
    Node.objects.filter(pk=lock.pk).update(safety_kind="lock")
    lock.refresh_from_db()
    mark(swap, lock, Tick(tried_by_hand=True), "Noor", MORNING + 2 * HOUR)

    row = mark(swap, lock, Tick(take_back=True), "Noor", MORNING + 2 * HOUR)

    assert (row.tried_at, row.heard_at) == (None, None)
    assert Node.objects.get(pk=lock.pk).tested_by_hand_on is None


def test_one_swap_is_one_trial_however_it_ends(swap):
    swap = awake(swap)
    swap = step_to(swap, State.BACKING_OUT, MORNING + 2 * HOUR, note="deaf", silencing=Silencing.UNPLUGGED)
    swap = step_to(swap, State.STRANDED, MORNING + 3 * HOUR, note="deaf")
    step_to(swap, State.BACKED_OUT, MORNING + 4 * HOUR, note="deaf", without_number=True)

    assert Drill.objects.filter(kind="live").count() == 1


def test_a_swap_in_which_nothing_was_written_is_no_trial_and_no_failure(swap):
    swap = silenced(swap)
    swap = step_to(swap, State.BACKING_OUT, note="the people changed their mind")
    step_to(swap, State.BACKED_OUT, note="plugged in again", without_number=True)

    assert not Drill.objects.filter(kind="live").exists()


def test_a_key_in_a_note_is_refused_and_not_repeated(swap):
    secret = "0x38, 0x56, 0xD9, 0x01, " * 4
    with pytest.raises(MoveRefused, match="looks like a code or a key") as refused:
        step_to(swap, State.DROPPED, note=secret)
    assert "0x38" not in str(refused.value)
