"""A passage of a build: begun, noted update by update, stopped, resumed, passed ring by ring."""

from datetime import timedelta

import pytest

from fleet.models import JournalEntry, Passage, PassageState, PassageUnit, Radio, RadioState, Regression
from fleet.planning.rings import RingKind
from fleet.queries.passages import stand, whole
from fleet.verbs import passages as verbs
from tests import make

pytestmark = pytest.mark.django_db
NOW = make.NOW
DAY = timedelta(days=1)


def at_a_home(build, copy_hours=2, **mesh):
    """A radio on air with this build, with a sound copy of its mesh."""
    network = make.mesh(**mesh)
    radio = make.radio(state=RadioState.ON_AIR, firmware=build, carried_address=network.head_address)
    make.service(network, radio)
    if copy_hours is not None:
        make.snapshot(network, taken_at=NOW - timedelta(hours=copy_hours))
    return radio


@pytest.fixture
def builds():
    model = make.radio_model()
    return make.release(model, version="6.9"), make.release(model, version="6.10", policy="trial")


@pytest.fixture
def passage(builds):
    """One bench radio, one plain home, one home with safety devices."""
    source, target = builds
    make.spare(code="BENCH", firmware=source)
    at_a_home(source)
    at_a_home(source, safety_relevant=True)
    return verbs.begin(verbs.Wish(source, target, "It mends late locks"), "Orla", NOW)


def unit_of(passage, kind="bench"):
    return PassageUnit.objects.filter(ring__passage=passage, ring__kind=kind).first()


def fresh(passage):
    return whole(Passage.objects.filter(pk=passage.pk)).get()


def test_rings_are_drawn_and_the_first_is_open(passage):
    rings = list(passage.rings.all())

    assert [ring.kind for ring in rings] == ["bench", "few", "rest"]
    assert [ring.opened_at for ring in rings] == [NOW, None, None]
    assert rings[2].units.get().radio.periods.get().mesh.safety_relevant
    assert passage.need == 3
    assert JournalEntry.objects.get(what="passage begun").details["units"] == 3


@pytest.mark.parametrize("policy", ["seen", "hold", "barred"])
def test_a_build_that_may_not_be_tried_is_not_brought_out(builds, policy):
    source, target = builds
    target.policy = policy
    target.save()
    make.spare(firmware=source)

    with pytest.raises(verbs.PassageRefused, match=r"target: .* only a build on trial, allowed or preferred"):
        verbs.begin(verbs.Wish(source, target, "why"), "Orla", NOW)

    assert not Passage.objects.exists()


def test_what_cannot_be_begun_says_why(builds, passage):
    source, target = builds
    other = make.release(policy="allowed")

    for wish, told in (
        (verbs.Wish(source, target, "why"), "source: another passage of .* is open"),
        (verbs.Wish(source, other, "why"), "target: .* is not for"),
        (verbs.Wish(source, source, "why"), "target: .* is the build to be left"),
        (verbs.Wish(other, make.release(other.model), "why"), "source: no radio in use has"),
        (verbs.Wish(source, target, ""), "because: nothing was written"),
    ):
        with pytest.raises(verbs.PassageRefused, match=told):
            verbs.begin(wish, "Orla", NOW)


def test_homes_are_not_the_first_to_try_a_build(builds):
    source, target = builds
    at_a_home(source)

    with pytest.raises(verbs.PassageRefused, match="own: nothing on the bench"):
        verbs.begin(verbs.Wish(source, target, "why"), "Orla", NOW)


def test_a_home_of_the_firms_own_comes_before_all_others(builds):
    source, target = builds
    own = at_a_home(source)
    at_a_home(source)

    begun = verbs.begin(verbs.Wish(source, target, "why", [own.periods.get().mesh.site]), "Orla", NOW)

    assert unit_of(begun, "own").radio == own


def test_an_update_changes_the_radio_and_its_proof_of_blankness(passage):
    unit = verbs.note_update(unit_of(passage), "Pekka", NOW)

    radio = Radio.objects.get(code="BENCH")
    assert (radio.firmware, radio.blank_proven_at) == (passage.target, None)
    assert (unit.done_at, unit.done_by) == (NOW, "Pekka")
    assert JournalEntry.objects.get(what="firmware updated").details["to"] == "6.10"


def test_a_ring_that_is_not_open_waits_for_its_turn(passage):
    with pytest.raises(verbs.PassageRefused, match="in a ring that is not open; wait for its turn"):
        verbs.note_update(unit_of(passage, "few"), "Pekka", NOW)


def open_homes(passage):
    verbs.note_update(unit_of(passage), "Pekka", NOW)
    verbs.pass_ring(passage, "there is no other radio to try it on", "Orla", NOW + 8 * DAY)
    return unit_of(passage, "few")


@pytest.mark.parametrize(
    ("hours", "told"),
    [(None, "There is no sound copy"), (24, "The newest sound copy is 24 hours old; the limit is")],
    ids=["no copy", "a day old"],
)
def test_no_home_is_updated_before_a_fresh_sound_copy(passage, hours, told):
    unit, later = open_homes(passage), NOW + 8 * DAY
    mesh = unit.radio.periods.get().mesh
    mesh.snapshots.all().delete()
    if hours:
        make.snapshot(mesh, taken_at=later - timedelta(hours=hours))

    with pytest.raises(verbs.PassageRefused, match=told):
        verbs.note_update(unit, "Noor", later)

    assert Radio.objects.get(pk=unit.radio_id).firmware == passage.source


def test_an_update_in_a_home_remembers_the_mesh_and_the_copy(passage):
    unit, later = open_homes(passage), NOW + 8 * DAY
    mesh = unit.radio.periods.get().mesh
    copy = make.snapshot(mesh, taken_at=later - timedelta(hours=23))

    done = verbs.note_update(unit, "Noor", later)

    assert (done.mesh, done.copy) == (mesh, copy)
    with pytest.raises(verbs.PassageRefused, match=r"was updated on .* already"):
        verbs.note_update(unit, "Noor", later)


def test_any_regression_stops_the_passage(passage):
    unit = verbs.note_update(unit_of(passage), "Pekka", NOW)

    verbs.note_regression(unit, Regression.CALLBACK, "It restarts at night", "Noor", NOW + DAY)

    passage = fresh(passage)
    assert passage.state == PassageState.STOPPED
    assert "restarts" not in passage.turns.last().because
    assert passage.rings.first().units.get().what == "It restarts at night"
    with pytest.raises(verbs.PassageRefused, match="passage: it is stopped"):
        verbs.pass_ring(passage, "never mind", "Orla", NOW + 30 * DAY)


def test_what_was_not_updated_cannot_have_gone_worse(passage):
    with pytest.raises(verbs.PassageRefused, match="was not updated yet"):
        verbs.note_regression(unit_of(passage), Regression.OTHER, "slow", "Noor", NOW)


def test_only_a_person_with_a_reason_resumes_and_soak_days_count_anew(passage):
    unit = verbs.note_update(unit_of(passage), "Pekka", NOW)
    verbs.note_regression(unit, Regression.OTHER, "Its lead was loose", "Noor", NOW + DAY)

    with pytest.raises(verbs.PassageRefused, match="because: nothing was written"):
        verbs.resume(passage, " ", "Orla", NOW + 9 * DAY)
    resumed = verbs.resume(passage, "A loose lead, not the build", "Orla", NOW + 9 * DAY)

    assert resumed.state == PassageState.UNDER_WAY
    with pytest.raises(verbs.PassageRefused, match="it soaks until"):
        verbs.pass_ring(passage, "go", "Orla", NOW + 15 * DAY)
    assert verbs.pass_ring(passage, "go", "Orla", NOW + 16 * DAY).rings.first().passed_by == "Orla"


def test_a_build_that_was_barred_is_not_resumed(passage):
    verbs.stop(passage, "wait", "Noor", NOW)
    passage.target.policy = "barred"
    passage.target.save()

    with pytest.raises(verbs.PassageRefused, match="is barred; only a build"):
        verbs.resume(passage, "go on", "Orla", NOW)


def test_a_ring_that_is_not_proven_takes_a_word(passage):
    verbs.note_update(unit_of(passage), "Pekka", NOW)

    with pytest.raises(
        verbs.PassageRefused, match=r"word: 1 unit went without a regression: up to 95.0 % may"
    ):
        verbs.pass_ring(passage, "", "Orla", NOW + 8 * DAY)
    verbs.pass_ring(passage, "no other to try it on", "Orla", NOW + 8 * DAY)

    bench, few, _ = passage.rings.all()
    assert (bench.word, few.opened_at) == ("no other to try it on", NOW + 8 * DAY)
    assert JournalEntry.objects.get(what="passage ring passed").details["proven"] is False


def test_a_ring_with_units_due_does_not_pass(passage):
    with pytest.raises(verbs.PassageRefused, match="ring on the bench: 1 unit to be updated"):
        verbs.pass_ring(passage, "go", "Orla", NOW)


def large(builds, done):
    """So many homes updated long ago without a regression, one more to come, and the rest behind."""
    source, target = builds
    old = [make.radio(firmware=target) for _ in range(done)]
    passage = make.passage(source=source, target=target)
    passage.rings.all().delete()
    few = make.passage_ring(passage, *old, kind="few")
    few.units.update(done_at=NOW - 60 * DAY)
    rest = [make.radio(firmware=source, state=RadioState.ON_AIR) for _ in range(4)]
    make.passage_ring(passage, *rest, kind="rest", opened_at=None)
    return passage


def test_59_units_open_the_rest_without_a_word_and_58_do_not(builds):
    passage = large(builds, 58)

    with pytest.raises(verbs.PassageRefused, match="Draw 1 more into this ring: it takes 59"):
        verbs.pass_ring(passage, "let it go on all the same", "Orla", NOW)
    more = make.passage_ring(passage, make.radio(firmware=passage.target), kind="own")
    more.units.update(done_at=NOW - 60 * DAY)
    more.number, more.passed_at = 0, NOW
    more.save()
    verbs.pass_ring(passage, "", "Orla", NOW)

    few = passage.rings.get(kind="few")
    assert (few.passed_at, few.word) == (NOW, "")
    assert passage.rings.get(kind="rest").opened_at == NOW


def test_more_homes_are_drawn_from_the_rest(builds):
    passage = large(builds, 57)

    verbs.draw_more(passage, 2, "Orla", NOW)

    found = stand(fresh(passage), NOW)
    assert [(ring.kind, ring.size) for ring in found.rings] == [(RingKind.FEW, 59), (RingKind.REST, 2)]
    with pytest.raises(verbs.PassageRefused, match="homes: 2; right is 1 to 1, as one must be left"):
        verbs.draw_more(passage, 2, "Orla", NOW)


def test_after_the_last_ring_the_passage_is_done(builds):
    source, target = builds
    make.spare(firmware=source)
    passage = verbs.begin(verbs.Wish(source, target, "why"), "Orla", NOW)
    verbs.note_update(unit_of(passage), "Pekka", NOW)

    verbs.pass_ring(passage, "", "Orla", NOW + 7 * DAY)

    assert fresh(passage).state == PassageState.DONE
    assert [turn.what for turn in passage.turns.all()] == ["begun", "passed", "done"]


def test_giving_up_leaves_what_was_updated(passage):
    verbs.note_update(unit_of(passage), "Pekka", NOW)

    verbs.give_up(passage, "Its maker has a newer one", "Orla", NOW)

    assert fresh(passage).state == PassageState.GIVEN_UP
    assert Radio.objects.get(code="BENCH").firmware == passage.target
    with pytest.raises(verbs.PassageRefused, match="passage: it is given up"):
        verbs.stop(passage, "why", "Noor", NOW)


def test_a_radio_with_another_build_by_now_needs_no_update(passage):
    Radio.objects.filter(code="BENCH").update(firmware=make.release(passage.model))

    with pytest.raises(verbs.PassageRefused, match="has another build by now; it needs no update"):
        verbs.note_update(unit_of(passage), "Pekka", NOW)
    assert stand(fresh(passage), NOW).rings[0].due == 0


def test_reasons_with_a_key_in_them_are_refused(passage):
    key = "5A6967426565416C6C69616E63653039"
    with pytest.raises(verbs.PassageRefused, match="because: this looks like a code or a key"):
        verbs.stop(passage, f"new key {key}", "Noor", NOW)
    assert not JournalEntry.objects.filter(details__icontains=key).exists()
