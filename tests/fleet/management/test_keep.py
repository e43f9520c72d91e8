"""The command about keep rules: everything that the pages can do."""

import json
from datetime import timedelta
from io import StringIO
from unittest.mock import patch

import pytest
from django.core.management import CommandError, call_command

from fleet.models import ClientKeepRule, Custody, KeepRule, Pin
from fleet.verbs.keep import apply_rule
from sites.models import Role
from tests import make

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
SHORT = {"weeks": 0, "months": 0, "years": 0}


@pytest.fixture
def mesh():
    """Ten dailies under a rule of eight days: two are marked."""
    make.keep_rule(name="Usual", is_default=True, days=8, **SHORT)
    mesh = make.mesh(site=make.site(code="KELP-7"))
    for age in range(10):
        make.snapshot(mesh, taken_at=make.NOW - age * DAY)
    apply_rule(mesh, make.NOW, True)
    return mesh


AGREED = ("--second", "tomasz", "--second-password-file", "-")


def say(*words):
    out = StringIO()
    with patch("sys.stdin", StringIO(make.PASSWORD)):
        call_command("keep", *words, stdout=out, stderr=StringIO())
    return out.getvalue()


def facts(*words):
    return json.loads(say(*words, "--json"))


def test_show_says_what_each_rule_holds(mesh):
    (usual,) = facts("show")

    assert (usual["rule"], usual["meshes"], usual["copies"], usual["marked"]) == ("Usual", 1, 10, 2)
    assert "Usual" in say("show")


def test_preview_counts_by_home_and_saves_nothing(mesh):
    found = facts("preview", "Usual", "--days", "5")

    assert found["homes"] == [{"home": "KELP-7", "marked": 3, "unmarked": 0, "sooner": 0}]
    assert (found["saved"], found["needs_second_person"], found["share"]) == (False, True, 0.375)
    assert KeepRule.objects.get().days == 8


def test_preview_prints_a_table_and_the_sum(mesh):
    said = say("preview", "Usual", "--days", "5")

    assert "KELP-7" in said
    assert "3 of 8 kept copies marked to go" in said


def test_set_refuses_a_large_change_by_one_person(mesh):
    with pytest.raises(CommandError, match="a second person must agree"):
        say("set", "Usual", "--days", "5")
    assert KeepRule.objects.get().days == 8


def test_set_saves_it_with_a_second_person_of_the_book(mesh):
    make.person(username="tomasz")

    found = facts("set", "Usual", "--days", "5", "--by", "Orla", *AGREED)

    assert (found["saved"], KeepRule.objects.get().days) == (True, 5)


@pytest.mark.parametrize("role", [None, Role.SUBCONTRACTOR])
def test_somebody_who_may_not_change_the_book_is_no_second_person(mesh, role):
    if role:
        make.subcontractor(username="tomasz")

    with pytest.raises(CommandError, match="--second tomasz: no such person"):
        say("set", "Usual", "--days", "5", *AGREED)


@pytest.mark.parametrize("by", ["tomasz", "Tomasz Ibe"])
def test_one_person_is_not_two_by_whichever_name(mesh, by):
    make.person(username="tomasz", first_name="Tomasz", last_name="Ibe")

    with pytest.raises(CommandError, match="somebody other"):
        say("set", "Usual", "--days", "5", "--by", by, *AGREED)


def test_a_wrong_number_is_named_with_what_would_be_right(mesh):
    with pytest.raises(CommandError, match="days: -1 cannot be; write 0 to 9999"):
        say("set", "Usual", "--days", "-1")


def test_a_rule_that_is_not_there_is_said_with_those_that_are(mesh):
    with pytest.raises(CommandError, match="no keep rule Usaul; there are: Usual"):
        say("preview", "Usaul", "--days", "1")


def test_a_new_rule_is_entered_and_chosen_for_a_client_and_a_mesh(mesh):
    say("set", "Long", "--new", "--days", "20", "--weeks", "0", "--months", "0", "--years", "0")
    say("set", "--client", "KELP-7", "--rule", "Long")
    say("set", "--mesh", "KELP-7", "--rule", "Long")

    mesh.refresh_from_db()
    assert ClientKeepRule.objects.get().rule.name == mesh.keep_rule.name == "Long"


def test_a_choice_is_taken_back(mesh):
    mesh.keep_rule = KeepRule.objects.get()
    mesh.save()

    say("set", "--mesh", "KELP-7", "--rule", "none")

    mesh.refresh_from_db()
    assert mesh.keep_rule is None


@pytest.mark.parametrize(
    "words",
    [
        ["--mesh", "KELP-7"],
        ["Usual", "--mesh", "KELP-7", "--rule", "Usual"],
        [],
        ["Usual", "--rule", "Usual"],
    ],
)
def test_a_change_must_be_one_thing(mesh, words):
    with pytest.raises(CommandError, match="Name a rule to change"):
        say("preview", *words)


def test_marked_lists_the_copies_with_their_day(mesh):
    rows = facts("marked", "--mesh", "KELP-7")

    assert [row["goes_after"] for row in rows] == ["2027-04-02T08:00:00+00:00"] * 2


def test_marked_names_every_mesh_that_has_any(mesh):
    (row,) = facts("marked")

    assert (row["mesh"], row["marked"], row["first_goes_after"]) == (
        "KELP-7-A",
        2,
        "2027-04-02T08:00:00+00:00",
    )


def test_a_copy_is_kept_listed_and_let_go(mesh):
    copy = mesh.snapshots.filter(custody=Custody.DOOMED).first()

    say("pin", "--mesh", "KELP-7", "--snapshot", str(copy.uid)[:8], "--reason", "the insurer asks")
    (pin,) = facts("pins", "--mesh", "KELP-7")
    say("unpin", str(pin["pin"]))

    assert (pin["on"], pin["reason"]) == (str(copy.uid), "the insurer asks")
    assert Pin.objects.get().ended_at is not None


def test_all_marked_copies_are_kept(mesh):
    assert facts("pin", "--mesh", "KELP-7", "--all-marked", "--reason", "a slip") == {"kept": 2}


def test_a_legal_hold_is_put_on_a_mesh(mesh):
    held = facts("pin", "--mesh", "KELP-7", "--whole-mesh", "--reason", "court order 12")

    assert (held["kind"], held["on"]) == ("legal", "the whole mesh")


def test_an_erased_copy_cannot_be_kept(mesh):
    copy = mesh.snapshots.filter(custody=Custody.DOOMED).first()
    apply_rule(mesh, make.NOW + 8 * DAY, True)

    with pytest.raises(CommandError, match="can no longer be brought back"):
        say("pin", "--mesh", "KELP-7", "--snapshot", str(copy.uid), "--reason", "too late")


def test_a_pin_that_does_not_stand_is_said(mesh):
    with pytest.raises(CommandError, match="no pin 7 that stands"):
        say("unpin", "7")


@pytest.mark.parametrize(
    ("typed", "right"),
    [
        ("NOPE", "right is letters, a number and for a mesh a letter: KELP-7-A"),
        ("GULL-5-A", "There are: KELP-7-A"),
    ],
)
@pytest.mark.parametrize("act", ["marked", "pins"])
def test_a_mesh_that_is_not_there_is_named_with_its_option_and_what_would_be_right(mesh, act, typed, right):
    with pytest.raises(CommandError, match=f"--mesh {typed}: .*{right}"):
        say(act, "--mesh", typed)
