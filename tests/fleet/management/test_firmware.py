"""Firmware and failures from the terminal."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import FirmwareRelease, Passage, Radio
from tests import make

pytestmark = pytest.mark.django_db


def run(*words):
    out = StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


@pytest.fixture
def spare():
    model = make.radio_model(code="A2")
    make.release(model, version="6.10", policy="trial")
    return make.spare(code="A2-0110", firmware=make.release(model, version="6.9"))


def test_the_list_says_whether_each_build_may_go_into_homes(spare):
    told = run("firmware", "list")
    facts = {each["version"]: each for each in json.loads(run("firmware", "list", "--json"))}

    assert "may it go into homes?" in told
    assert "Yes: it is allowed." in told
    assert (facts["6.9"]["may_go_into_homes"], facts["6.10"]["may_go_into_homes"]) == (True, False)


def test_a_policy_and_a_place_are_set(spare):
    run("firmware", "policy", "a2", "6.10", "barred", "--because", "Late locks", "--by", "Orla")
    run("firmware", "place", "A2", "6.10", "610", "--because", "after 6.9", "--by", "Orla")

    build = FirmwareRelease.objects.get(version="6.10")
    assert (build.policy, build.order_key, build.changes.count()) == ("barred", 610, 2)


def test_a_passage_goes_from_its_beginning_to_its_end(spare):
    words = ("--because", "It mends locks", "--by", "Orla")
    run("firmware", "begin", "A2", "--from", "6.9", "--to", "6.10", *words)
    waiting = json.loads(run("firmware", "due", "--json"))
    run("firmware", "updated", "A2-0110", "--by", "Pekka")
    shown = json.loads(run("firmware", "show", "A2", "--json"))
    told = run("firmware", "worse", "A2-0110", "--kind", "other", "--because", "it restarts", "--by", "Pekka")
    run("firmware", "resume", "A2", "--because", "a loose lead", "--by", "Orla")
    run("firmware", "give-up", "A2", "--because", "a newer one", "--by", "Orla")

    assert [(each["radio"], each["to"]) for each in waiting] == [("A2-0110", "6.10")]
    assert (shown["clean"], shown["rings"][0]["state"]) == (1, "soaking")
    assert "stopped; 0 of 1 units went without a regression." in told
    assert Passage.objects.get().state == "given_up"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("show", "A2"), "MODEL A2: no passage of it is open"),
        (("show", "Z9"), "MODEL Z9: there is no such model; there are: A2"),
        (("policy", "A2", "7", "hold", "--because", "x", "--by", "O"), "VERSION 7: A2 has no such build"),
        (("place", "A2", "6.9", "x1", "--because", "x", "--by", "O"), "PLACE x1: right is a whole number"),
        (("updated", "A2-0110", "--by", "O"), "RADIO A2-0110: it is in no open passage"),
        (("policy", "A2", "6.9", "allowed", "--because", "x", "--by", "O"), "Nothing was written. policy:"),
    ],
    ids=["no passage", "no model", "no build", "no place", "no unit", "no change"],
)
def test_what_cannot_be_says_why(spare, words, told):
    with pytest.raises(CommandError, match=told):
        run("firmware", *words)


def test_failures_are_listed_with_their_bounds_and_claims(spare):
    Radio.objects.update(bought_on="2026-01-15", warranty_months=36)
    run("failures", "dead", "A2-0110", "--because", "no power", "--by", "Pekka", "--on", "2026-02-01")
    facts = json.loads(run("failures", "list", "--json"))

    assert facts["claims"][0]["last_day"] == "2029-01-15"
    assert facts["families"][0]["dead_on_arrival"] == 1
    told = run("failures", "claim", "A2-0110", "--by", "Pekka")
    assert "1 of 1" in told


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("claim", "A2-0110", "--by", "O"), "Nothing was written. radio: A2-0110 has not failed"),
        (("claim", "X-1", "--by", "O"), "CODE X-1: there is no such radio"),
        (("claim", "A2-0110", "--by", "O", "--on", "soon"), "--on soon: right is a day"),
    ],
    ids=["has not failed", "no radio", "no day"],
)
def test_a_claim_that_cannot_be_says_why(spare, words, told):
    with pytest.raises(CommandError, match=told):
        run("failures", *words)
