"""Shelves and vans from the terminal."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Radio
from tests import make

pytestmark = pytest.mark.django_db


def run(*words):
    out = StringIO()
    call_command("radio", *words, stdout=out)
    return out.getvalue()


@pytest.fixture
def spare():
    return make.spare(
        code="A2-0110", place=make.place(code="SHELF", name="Workshop", kind="shelf"), batch="AL-1"
    )


def test_the_list_says_what_counts_and_what_is_wanted(spare):
    told = run("list")
    assert "A2-0110" in told
    assert "counts" in told
    facts = json.loads(run("list", "--json"))
    assert facts["radios"][0]["why_not"] == ""
    assert facts["families"][0]["counting"] == 1


def test_a_radio_is_moved_stated_and_proven_blank(spare):
    make.place(code="VAN-9")

    run("move", "a2-0110", "van-9", "--by", "Pekka", "--because", "for Monday")
    run("state", "A2-0110", "wiped", "--by", "Pekka")
    told = json.loads(run("blank", "A2-0110", "--by", "Pekka", "--json"))

    radio = Radio.objects.get()
    assert (radio.place.code, radio.state, radio.blank_proven_by) == ("VAN-9", "wiped", "Pekka")
    assert told[0]["place"] == "VAN-9"


def test_a_batch_is_found(spare):
    assert "A2-0110" in run("recall", "al-1")
    assert "No radio of batch XX is in the book." in run("recall", "XX")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("move", "NOPE", "SHELF", "--by", "Pekka"), "CODE NOPE: there is no such radio"),
        (
            ("move", "A2-0110", "NOPE", "--by", "Pekka"),
            "PLACE NOPE: there is no such place; there are: SHELF",
        ),
        (
            ("move", "A2-0110", "SHELF", "--by", "Pekka"),
            "Nothing was written. to: A2-0110 lies there already",
        ),
        (("state", "A2-0110", "on_air", "--by", "Pekka"), "on air cannot follow shelved by hand"),
        (("firmware", "A2-0110", "0.0", "--by", "Pekka"), "VERSION 0.0: .* has no such build; there are: "),
    ],
    ids=["no radio", "no place", "there already", "not by hand", "no build"],
)
def test_what_cannot_be_is_named_and_nothing_is_written(spare, words, told):
    with pytest.raises(CommandError, match=told):
        run(*words)
    assert Radio.objects.get().state == "shelved"
