"""A drill from its beginning to its end, and what it leaves behind."""

import json
import random
from datetime import timedelta
from itertools import pairwise

import pytest
from django.db import IntegrityError, transaction

from fleet.mesh.drill_range import HELD_FOR
from fleet.models import (
    CounterEvidence,
    Drill,
    DrillKind,
    Grade,
    JournalEntry,
    Mesh,
    Place,
    Radio,
    RadioState,
    Rehearsal,
    RehearsalEnd,
    RehearsalStep,
)
from fleet.planning.drilling.setup import Setup
from fleet.planning.drilling.steps import ORDER, Step
from fleet.planning.drills import DrillKind as Kind
from fleet.planning.readiness import assess
from fleet.planning.stock import why_not
from fleet.queries.readiness import judged
from fleet.queries.restoring import GrantRefused
from fleet.queries.spares import SpareShelf, pair_records
from fleet.queries.stock import lying
from fleet.verbs.drilling.bench import DrillRefused, Intent
from fleet.verbs.drilling.holding import begin, end, finish_step, give_out
from fleet.verbs.grant import Request, restore_document
from fleet.verbs.stock import StockRefused, move_radio, prove_blank, put_firmware, set_state
from tests import make
from tests.documents import key
from tests.fleet.verbs.drilling.conftest import MINUTE, begun, worked_through

pytestmark = pytest.mark.django_db


def ended(row, how=RehearsalEnd.PASSED, note="", now=make.NOW):
    return end(row, how, note, "Noor", now)


def held(mesh, spare, now=make.NOW):
    """A bench drill that passed."""
    row = begun(mesh, spare, now)
    return ended(row, now=worked_through(row, now))


def why(radio):
    return why_not(lying(Radio.objects.select_related("model", "firmware", "place").get(pk=radio.pk)))


# What it leaves


def test_a_bench_drill_that_passed_counts_for_home_and_pair(mesh, spare, build):
    row = held(mesh, spare)

    drill = Drill.objects.get()
    assert (drill.kind, drill.result, drill.minutes, drill.radio) == ("bench", "passed", 30, spare)
    assert (row.drill, drill.snapshot, drill.own_pair_only) == (drill, row.snapshot, False)
    assert pair_records()[build.pk, build.pk].passes == 1


def test_its_steps_keep_their_minutes_and_what_went_wrong(mesh, spare):
    row = begun(mesh, spare)
    finish_step(row, Step.FETCH, "The cable was in the other van", "Noor", make.NOW + 7 * MINUTE)

    first, second = row.steps.all()
    assert (first.minutes, first.problem) == (7, "The cable was in the other van")
    assert (second.step, second.began_at, second.minutes) == ("find", make.NOW + 7 * MINUTE, None)


def test_the_whole_of_it_stands_in_the_journal_without_a_secret(mesh, spare):
    held(mesh, spare)

    lines = list(JournalEntry.objects.filter(subject=mesh.code, what__contains="drill"))
    said = [line.what for line in lines]
    assert [said.count(what) for what in ("drill begun", "drill step done", "drill passed")] == [1, 6, 1]
    assert said.count("document given out for a drill") == 1
    assert key(mesh.code).hex() not in str([line.details for line in lines]).lower()


def test_a_copy_that_was_seen_live_is_proven_by_it_and_another_is_not(mesh, spare):
    mesh.snapshots.update(grade=Grade.SEEN_LIVE)
    row = held(mesh, spare)
    assert row.snapshot.grade == Grade.PROVEN

    mesh.snapshots.update(grade=Grade.SOUND)
    set_state(spare, RadioState.WIPED, "", "Noor", make.NOW + timedelta(hours=1))
    prove_blank(spare, "Noor", make.NOW + timedelta(hours=1))
    assert held(mesh, spare, make.NOW + timedelta(hours=2)).snapshot.grade == Grade.SOUND


def test_a_failed_drill_makes_the_mesh_thin_at_once_and_says_what_failed(mesh, spare):
    make.agreement(mesh.site)
    row = begun(mesh, spare)
    ended(row, RehearsalEnd.FAILED, "It would not take the number", make.NOW + 9 * MINUTE)

    mesh = Mesh.objects.select_related("site__client").get(pk=mesh.pk)
    standing = judged(mesh, SpareShelf.load(), make.NOW + 10 * MINUTE).facts.drill
    assert (standing.state.value, standing.within_interval) == ("failed", False)
    assert mesh.assessed_at == make.NOW + 9 * MINUTE
    drill_gate = next(
        gate
        for gate in assess(judged(mesh, SpareShelf.load(), make.NOW + 10 * MINUTE).facts).gates
        if gate.name == "drill"
    )
    assert (drill_gate.result, "failed" in drill_gate.reason) == ("fail", True)
    assert Rehearsal.objects.get().note == "It would not take the number"


def test_what_was_never_written_is_no_trial_of_its_pair(mesh, spare):
    ended(begun(mesh, spare), RehearsalEnd.FAILED, "Nobody found the cable")

    assert Drill.objects.get().radio is None
    assert pair_records() == {}
    assert Radio.objects.get(pk=spare.pk).state == RadioState.SHELVED


def test_a_step_that_the_end_cut_short_is_marked(mesh, spare):
    ended(begun(mesh, spare), RehearsalEnd.FAILED, "Nobody found the cable", make.NOW + 3 * MINUTE)
    step = RehearsalStep.objects.get()
    assert (step.minutes, step.is_cut_short) == (3, True)


def test_an_aborted_drill_counts_for_nothing_and_says_why(mesh, spare):
    row = begun(mesh, spare)
    worked_through(row)
    row = ended(row, RehearsalEnd.ABORTED, "Called away to a real one", make.NOW + 60 * MINUTE)

    assert (row.end, row.note, row.drill) == ("aborted", "Called away to a real one", None)
    assert not Drill.objects.exists()
    assert why(spare) == "it does not stand by"  # it was written all the same


def test_a_walk_through_on_paper_touches_no_radio(mesh):
    row = begin(mesh, Intent(DrillKind.PAPER), "Noor", make.NOW)
    for step in ORDER[Kind.PAPER]:
        finish_step(row, step, "", "Noor", make.NOW)
    ended(row)

    drill = Drill.objects.get()
    assert (drill.kind, drill.radio, drill.snapshot) == ("paper", None, None)
    assert not CounterEvidence.objects.filter(kind="drill").exists()


def test_a_drill_on_another_build_than_the_plans_counts_for_its_own_pair_only(mesh, spare, build, shelf):
    planned = make.spare(firmware=make.release(build.model, version="8.0"), place=shelf)
    Mesh.objects.filter(pk=mesh.pk).update(best_spare=planned)

    held(mesh, spare)

    assert Drill.objects.get().own_pair_only
    assert pair_records()[build.pk, build.pk].passes == 1
    make.agreement(mesh.site)
    mesh = Mesh.objects.select_related("site__client").get(pk=mesh.pk)
    assert judged(mesh, SpareShelf.load(), make.NOW + timedelta(days=1)).facts.drill.state.value == "never"


# The spare afterwards


def test_the_spare_is_no_stock_until_it_is_wiped_and_proven_blank(mesh, spare, shelf):
    assert why(spare) == ""
    row = begun(mesh, spare)
    worked_through(row)
    assert why(spare) == "it does not stand by"
    ended(row, now=make.NOW + 31 * MINUTE)
    later = make.NOW + 40 * MINUTE

    with pytest.raises(StockRefused, match="silenced; wipe it first, then read it out"):
        prove_blank(spare, "Noor", later)
    with pytest.raises(StockRefused, match="wipe it before it leaves the firm"):
        move_radio(spare, None, shelf, "sold", "Noor", later)

    set_state(spare, RadioState.WIPED, "", "Noor", later)
    assert why(spare) == "nobody has proven it blank"
    prove_blank(spare, "Noor", later)
    assert why(spare) == ""


def test_during_the_drill_nothing_is_done_to_the_spare(mesh, spare, build):
    row = begun(mesh, spare)
    with pytest.raises(StockRefused, match="in a drill of KELP-7-A; end that first"):
        put_firmware(spare, make.release(build.model), "Noor", make.NOW)
    worked_through(row)
    with pytest.raises(StockRefused, match="in a drill of KELP-7-A; end that first"):
        set_state(spare, RadioState.WIPED, "", "Noor", make.NOW)


def test_during_the_drill_no_file_for_the_air_is_given_out_for_the_spare(mesh, spare):
    row = begun(mesh, spare)
    with pytest.raises(GrantRefused, match=f"{spare.code} is in a drill; choose another, or end the drill"):
        restore_document(mesh, Request(spare, "Orla", "It died"), make.NOW)
    end(row, RehearsalEnd.ABORTED, "It died", "Noor", make.NOW)
    restore_document(mesh, Request(spare, "Orla", "It died"), make.NOW)


def test_a_written_spare_is_not_carried_into_the_home(mesh, spare, shelf):
    held(mesh, spare)
    home = make.place_at(mesh.site)

    with pytest.raises(StockRefused, match="may hold the key of KELP-7-A from a drill"):
        move_radio(spare, home, shelf, "back home", "Noor", make.NOW + timedelta(hours=1))

    set_state(spare, RadioState.WIPED, "", "Noor", make.NOW + timedelta(hours=1))
    prove_blank(spare, "Noor", make.NOW + timedelta(hours=1))
    move_radio(spare, home, shelf, "back home", "Noor", make.NOW + timedelta(hours=1))


# The numbers


def test_the_document_holds_the_first_of_the_range_and_the_ledger_the_last(mesh, spare):
    """C1 by hand at 3/s: 11,036,800 + 6 * (3,600 + 43,200) + 65,536; 12 h more and the margin wide."""
    row = begun(mesh, spare)
    for step in (Step.FETCH, Step.FIND, Step.COPY):
        finish_step(row, step, "", "Noor", make.NOW)

    grant = give_out(row, "Noor", make.NOW)

    row.refresh_from_db()
    assert grant.numbers.first == 11_036_800 + 280_800 + 65_536 == row.range_first
    assert json.loads(grant.document)["security"]["outgoingCounter"] == row.range_first
    line = CounterEvidence.objects.get(kind="drill")
    assert line.value == row.range_first + 259_200 + 65_536 == row.range_last
    assert row.range_until == make.NOW + HELD_FOR


def test_a_restore_meanwhile_and_a_second_file_lie_above(mesh, spare):
    row = begun(mesh, spare)
    for step in (Step.FETCH, Step.FIND, Step.COPY):
        finish_step(row, step, "", "Noor", make.NOW)
    first = give_out(row, "Noor", make.NOW).numbers

    live = restore_document(mesh, Request(make.spare(), "Orla", "It died"), make.NOW).start.value
    second = give_out(row, "Noor", make.NOW).numbers

    assert first.last < live < second.first
    row.refresh_from_db()
    assert (row.range_first, row.range_last) == (second.first, second.last)


@pytest.mark.parametrize("seed", range(2))
def test_no_order_of_drills_and_restores_makes_their_numbers_touch(mesh, spare, seed):
    """Through the ledger's rows; the law over any history is in tests/fleet/mesh/test_drill_range.py."""
    chance, now, taken = random.Random(seed), make.NOW, []
    for _ in range(6):
        now += timedelta(minutes=chance.choice([0, 1, 700, 5000]))
        if chance.random() < 0.5:
            number = restore_document(mesh, Request(make.spare(), "Orla", "It died"), now).start.value
            taken.append((number, number))
            continue
        row = begun(mesh, spare, now)
        worked_through(row, now)
        row = end(row, RehearsalEnd.ABORTED, "enough", "Noor", now + timedelta(hours=1))
        taken.append((row.range_first, row.range_last))
        set_state(spare, RadioState.WIPED, "", "Noor", now + timedelta(hours=1))
        prove_blank(spare, "Noor", now + timedelta(hours=1))
        now += timedelta(hours=1)
    assert all(before[1] < after[0] for before, after in pairwise(taken))


def test_once_the_range_is_no_longer_its_own_it_does_not_pass(mesh, spare):
    row = begun(mesh, spare)
    worked_through(row)
    with pytest.raises(DrillRefused, match="its numbers were its own until"):
        ended(row, now=make.NOW + HELD_FOR + timedelta(hours=1))


def test_nothing_is_given_out_but_at_its_step(mesh, spare):
    row = begun(mesh, spare)
    with pytest.raises(DrillRefused, match="step: the document is given out at the step “Write the spare”"):
        give_out(row, "Noor", make.NOW)
    assert not CounterEvidence.objects.filter(kind="drill").exists()


def test_the_step_that_writes_is_not_done_before_the_file_was_taken(mesh, spare):
    row = begun(mesh, spare)
    for step in (Step.FETCH, Step.FIND, Step.COPY):
        finish_step(row, step, "", "Noor", make.NOW)
    with pytest.raises(DrillRefused, match="no file was given out"):
        finish_step(row, Step.WRITE, "", "Noor", make.NOW)


# Where and with what


def refused(mesh, spare, **given):
    with pytest.raises(DrillRefused) as error:
        begun(mesh, spare, **given)
    assert not Rehearsal.objects.exists()
    return str(error.value)


@pytest.mark.parametrize("setup", list(Setup))
def test_in_the_home_it_is_refused_whatever_the_set_up(mesh, spare, setup):
    spare.place = make.place_at(mesh.site)
    spare.save()
    assert "within reach of the mesh on air" in refused(mesh, spare, setup=setup)


def test_a_spare_of_another_home_stays_there(mesh, spare):
    spare.place = make.place_at(make.site())
    spare.save()
    assert "is another home; its spare stays there" in refused(mesh, spare)


def test_within_reach_of_the_home_it_is_refused(mesh, spare):
    Place.objects.filter(pk=spare.place_id).update(latitude="68.15100", longitude="14.20000")
    spare.place.refresh_from_db()
    assert "111 m from the home, within reach" in refused(mesh, spare)


def test_on_air_it_is_refused_anywhere(mesh, spare):
    assert refused(mesh, spare, setup=Setup.ON_AIR).startswith("setup: on air is no drill")


def test_without_the_statement_that_nothing_radiates_it_is_refused(mesh, spare):
    assert refused(mesh, spare, nothing_radiates=False).startswith("nothing_radiates:")


def test_the_place_must_be_where_the_book_has_the_spare(mesh, spare):
    van = make.place(name="Van of Noor")
    assert refused(mesh, spare, place=van) == (
        "place: A2-0110 is Bench shelf as the book has it, not Van of Noor; write down where it lies now first."
    )


@pytest.mark.parametrize(
    ("changed", "wrong"),
    [
        ({"state": RadioState.BOOKED}, "radio: A2-0110 is booked; right is a spare that is shelved or wiped"),
        ({"state": RadioState.ON_AIR}, "radio: A2-0110 is on air"),
        ({"state": RadioState.SILENCED}, "radio: A2-0110 is silenced"),
        ({"blank_proven_at": None}, "radio: nobody has proven A2-0110 blank"),
        ({"firmware": None}, "radio: the firmware on A2-0110 is not known"),
    ],
    ids=["booked", "on-air", "silenced", "not-blank", "no-firmware"],
)
def test_only_a_blank_spare_that_nobody_needs_is_written(mesh, spare, changed, wrong):
    Radio.objects.filter(pk=spare.pk).update(**changed)
    assert refused(mesh, spare).startswith(wrong)


@pytest.mark.parametrize("field", ["radio", "place", "setup"])
def test_what_is_wanting_is_named(mesh, spare, field):
    assert refused(mesh, spare, **{field: None}).startswith(f"{field}: ")


def test_an_address_that_can_be_written_once_is_used_up_knowingly(mesh, spare):
    type(spare.model).objects.filter(pk=spare.model_id).update(address_policy="write_once")
    assert refused(mesh, spare).startswith(
        "use_up_address: the address of A2-0110 can be written a single time"
    )

    row = begun(mesh, spare, use_up_address=True)
    worked_through(row)

    radio = Radio.objects.get(pk=spare.pk)
    assert (radio.address_written, radio.carried_address) == (True, mesh.head_address)


def test_a_spare_that_cannot_take_the_mesh_over_is_not_drilled(mesh, spare):
    type(spare.model).objects.filter(pk=spare.model_id).update(channel_mask=1 << 25)
    assert refused(mesh, spare).startswith("radio: A2-0110 cannot take KELP-7-A over")


def test_a_live_swap_is_a_replacement(mesh, spare):
    assert refused(mesh, spare, kind=DrillKind.LIVE).startswith("kind: a live swap is a replacement")


def test_a_home_without_a_voice_is_brought_back_first(mesh, spare):
    make.replacement(mesh, state="stranded")
    assert "nobody speaks in KELP-7-A now" in refused(mesh, spare)


def test_a_mesh_and_a_radio_are_in_one_drill_at_a_time(mesh, spare, build, shelf):
    begun(mesh, spare)
    with pytest.raises(DrillRefused, match="a drill of KELP-7-A is under way"):
        begun(mesh, make.spare(firmware=build, place=shelf))
    other = make.mesh()
    with pytest.raises(DrillRefused, match="A2-0110 is in another drill"):
        begun(other, spare)


def test_the_database_itself_refuses_a_bench_that_radiates(mesh, spare):
    for wrong in ({"setup": "on_air", "nothing_radiates": True}, {"setup": "shielded"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            make.rehearsal(mesh, kind="bench", radio=spare, **wrong)


# Going on


def test_two_who_tap_the_same_step_do_it_once(mesh, spare):
    row = begun(mesh, spare)
    finish_step(row, Step.FETCH, "", "Noor", make.NOW)
    with pytest.raises(DrillRefused, match="the drill is at “Find what is wrong” by now"):
        finish_step(row, Step.FETCH, "", "Pekka", make.NOW)


def test_it_passes_only_when_every_step_is_done(mesh, spare):
    row = begun(mesh, spare)
    with pytest.raises(DrillRefused, match="“Fetch” is not done yet"):
        ended(row)


@pytest.mark.parametrize("how", [RehearsalEnd.FAILED, RehearsalEnd.ABORTED])
def test_who_fails_or_aborts_says_why(mesh, spare, how):
    row = begun(mesh, spare)
    with pytest.raises(DrillRefused, match="note: nothing was written"):
        ended(row, how, "  ")
    with pytest.raises(DrillRefused, match="note: this looks like a code or a key"):
        ended(row, how, "38 56 D9 0B 11 22 33 44 55 66 77 88 99 AA BB CC")


def test_what_has_ended_goes_on_no_more(mesh, spare):
    row = held(mesh, spare)
    for act in (
        lambda: ended(row),
        lambda: give_out(row, "Noor", make.NOW),
        lambda: finish_step(row, Step.COMPARE, "", "Noor", make.NOW),
    ):
        with pytest.raises(DrillRefused, match="it was ended as passed"):
            act()


def test_the_words_of_where_are_no_place_for_a_key(mesh, spare):
    with pytest.raises(DrillRefused, match="spot: this looks like a code or a key"):
        begun(mesh, spare, spot="38 56 D9 0B 11 22 33 44 55 66 77 88 99 AA BB CC")
