"""What is said of a build: its policy and place, with reason and history; and what a barred build is kept from."""

import pytest

from fleet.models import FirmwarePolicy, FirmwareRelease, JournalEntry, PassageState, Why
from fleet.planning.capabilities import MeshNeeds
from fleet.planning.compatibility import Verdict, judge
from fleet.planning.stock import why_not
from fleet.queries.facts import radio_facts
from fleet.queries.stock import lying
from fleet.verbs import firmware as verbs
from fleet.verbs.replacing.asking import Wish, ask, plan
from fleet.verbs.replacing.moving import MoveRefused
from tests import make

pytestmark = pytest.mark.django_db
BARRED = FirmwarePolicy.BARRED


def test_a_policy_is_set_with_a_reason_a_row_and_a_line():
    build = make.release(version="6.8")

    change = verbs.set_policy(build, BARRED, " Forgets its routes ", "Orla", make.NOW)

    build.refresh_from_db()
    assert (build.policy, build.policy_reason) == ("barred", "Forgets its routes")
    assert (change.was, change.became, change.by, change.at) == ("allowed", "barred", "Orla", make.NOW)
    line = JournalEntry.objects.get(what="firmware policy set")
    assert line.details == {"was": "allowed", "became": "barred", "because": "Forgets its routes"}


@pytest.mark.parametrize(
    ("to", "because", "told"),
    [
        (FirmwarePolicy.ALLOWED, "why", "policy: .* is allowed already; choose another"),
        (BARRED, " ", "because: nothing was written"),
        (
            BARRED,
            "5A 69 67 42 65 65 41 6C 6C 69 61 6E 63 65 30 39",
            "because: this looks like a code or a key",
        ),
        (BARRED, "x" * 201, "because: 201 letters; right is 200 at most"),
    ],
    ids=["the same", "no reason", "a key", "too long"],
)
def test_a_policy_that_cannot_be_set_leaves_nothing(to, because, told):
    build = make.release()

    with pytest.raises(verbs.FirmwareRefused, match=told):
        verbs.set_policy(build, to, because, "Orla", make.NOW)

    assert (build.changes.count(), JournalEntry.objects.count()) == (0, 0)


@pytest.mark.parametrize(
    ("to", "state"), [("hold", "stopped"), ("barred", "stopped"), ("trial", "under_way")]
)
def test_a_build_that_is_held_back_stops_its_passage(to, state):
    passage = make.passage(make.spare())

    verbs.set_policy(passage.target, FirmwarePolicy(to), "Late locks", "Orla", make.NOW)

    passage.refresh_from_db()
    assert passage.state == PassageState(state)
    assert passage.turns.filter(what="stopped").exists() is (state == "stopped")


def test_a_place_is_given_and_taken_away_again():
    build = make.release(version="nightly-7c")

    verbs.set_order(build, 620, "Built after 6.11", "Orla", make.NOW)
    verbs.set_order(build, None, "That was wrong", "Orla", make.NOW)

    assert [each.became for each in build.changes.all()] == ["", "620"]
    assert FirmwareRelease.objects.get(pk=build.pk).order_key is None


@pytest.mark.parametrize("place", [-1, 2**31])
def test_a_place_out_of_range_is_refused(place):
    with pytest.raises(verbs.FirmwareRefused, match=f"place: {place}; right is a whole number from 0"):
        verbs.set_order(make.release(), place, "why", "Orla", make.NOW)


def test_a_numbering_of_no_known_form_is_refused():
    with pytest.raises(verbs.FirmwareRefused, match="numbering: “roman”; right is one of numbers"):
        verbs.say_numbering(make.radio_model(), "roman", "Orla", make.NOW)


def test_a_new_build_is_only_seen():
    model = make.radio_model()

    build = verbs.enter_release(model, " 6.12 ", "Noor", make.NOW, band_plan="EU", digest="AB" * 32)

    assert (build.version, build.policy, build.digest) == ("6.12", "seen", "ab" * 32)
    with pytest.raises(verbs.FirmwareRefused, match=r"has a build 6.12 already"):
        verbs.enter_release(model, "6.12", "Noor", make.NOW)


@pytest.mark.parametrize(
    ("version", "digest", "told"),
    [("", "", "version: "), ("6.12", "12", "digest: this is no SHA-256; right is 64 digits")],
)
def test_a_build_that_cannot_be_entered_says_why(version, digest, told):
    with pytest.raises(verbs.FirmwareRefused, match=told):
        verbs.enter_release(make.radio_model(), version, "Noor", make.NOW, digest=digest)


@pytest.fixture
def barred():
    """A spare that is good in all else."""
    return make.spare(firmware=make.release(policy=BARRED), place=make.place())


def test_a_barred_build_does_not_count_on_the_shelf(barred):
    assert why_not(lying(barred)) == "its firmware is barred"


def test_a_barred_build_fits_no_mesh(barred):
    facts = radio_facts(barred)
    assert judge(facts, facts, MeshNeeds(make.address(), 20, 0)).verdict is Verdict.NO


def test_a_barred_build_cannot_be_asked_for(barred):
    mesh = make.mesh()

    with pytest.raises(MoveRefused, match=r"new_radio: firmware .* is barred"):
        ask(mesh, Wish(Why.FAILED, "it is dead", barred), "Orla", make.NOW)

    assert not mesh.replacements.exists()


def test_a_barred_build_cannot_be_planned(barred):
    swap = make.replacement(make.mesh(), new_radio=None)

    with pytest.raises(MoveRefused, match="is barred; put an allowed build on it"):
        plan(swap, {"new_radio": barred}, "Orla", make.NOW)
