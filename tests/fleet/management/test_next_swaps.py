"""python manage.py next-swaps and storm: the same answers as the pages, in the terminal."""

import json
from datetime import time
from importlib import import_module
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Replacement, StormExercise, SupportEnd
from sites.models import WorkingTime
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh(monkeypatch):
    """Covered as of NOW, which the book's clock stands at; one technician."""
    moment = type("Moment", (), {"now": make.NOW, "clock": staticmethod(lambda: make.NOW)})
    for name in ("next-swaps", "storm"):
        monkeypatch.setattr(import_module(f"fleet.management.commands.{name}"), "book_time", lambda: moment)
    person = make.person(username="noor", base_latitude="68.15000", base_longitude="14.20000")
    for weekday in range(7):
        WorkingTime.objects.create(person=person, weekday=weekday, begins=time(8), ends=time(18))
    return covered_mesh()


def run(*words: str) -> str:
    out = StringIO()
    call_command(*words, stdout=out, stderr=StringIO())
    return out.getvalue()


def test_the_list_says_who_is_next_with_every_term(mesh):
    told = run("next-swaps", "list", "--anew", "--terms")
    assert told.startswith(f"Next is the radio of {mesh.code}: ")
    assert (
        "End of support: 2.00 h (not known, so the worst counts: 2.00 h; nobody wrote down until when" in told
    )


def test_json_holds_every_fact(mesh):
    facts = json.loads(run("next-swaps", "list", "--anew", "--json"))
    row = facts["rows"][0]
    assert (row["mesh"], row["place"], row["act"]) == (mesh.code, 1, "swap")
    assert row["worth"] == pytest.approx(row["value_hours"] / row["visit_hours"])
    assert row["value_hours"] == pytest.approx(sum(term["adds"] for term in row["terms"].values()))
    assert row["not_known"] == ["support"]


def test_without_an_order_it_says_how_to_get_one(mesh):
    with pytest.raises(CommandError, match="do so with --anew"):
        run("next-swaps", "list")


def test_asking_takes_the_place_as_the_reason(mesh):
    run("next-swaps", "list", "--anew")
    assert run("next-swaps", "ask", mesh.code, "--by", "Orla").startswith(
        f"Asked for: {mesh.code}, Order of swaps"
    )
    assert Replacement.objects.get().asked_by == "Orla"


def test_a_bare_home_is_not_asked_for(mesh):
    mesh.snapshots.all().delete()
    run("next-swaps", "list", "--anew")
    with pytest.raises(CommandError, match="a snapshot comes first"):
        run("next-swaps", "ask", mesh.code)


def test_support_is_noted(mesh):
    model = mesh.periods.get().radio.model
    run("next-swaps", "support", model.code.lower(), "2028-05-31", "--said-by", "the maker")
    assert str(SupportEnd.objects.get().last_day) == "2028-05-31"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("next-swaps", "support", "X9", "2028-05-31", "--said-by", "x"), "There is no type of radio X9"),
        (("next-swaps", "list", "--top", "0"), "--top: it is 0; write 1 to"),
        (("storm", "--around", "NONE-1"), "--around: There is no home NONE-1"),
        (("storm", "--runs", "5"), "--runs: The count of runs is 5; write 10 to 1000."),
        (("storm", "--goes", "ghost"), "--goes: ghost is nobody who can be sent"),
        (("storm", "--around", "A-1", "--model", "X"), "Homes are chosen by --around already"),
        (("storm", "--again", "9"), "--again: there is no exercise 9; kept are: none yet."),
    ],
)
def test_what_cannot_be_is_named_with_what_would_be_right(mesh, words, told):
    with pytest.raises(CommandError, match=told):
        run(*words)
    assert not StormExercise.objects.exists()


def test_a_day_that_is_none_is_named(mesh):
    code = mesh.periods.get().radio.model.code
    with pytest.raises(CommandError, match="DAY: 'May' is no day"):
        run("next-swaps", "support", code, "May", "--said-by", "x")


def test_a_storm_is_played_and_can_be_shown_again(mesh):
    told = run("storm", "--home", mesh.site.code.lower(), "--runs", "20", "--seed", "3")
    assert told.startswith("The one home comes back; nine times in ten all of these are back within ")
    number = StormExercise.objects.get().pk
    assert run("storm", "--again", str(number)) == told
    facts = json.loads(run("storm", "--again", str(number), "--json"))
    assert (facts["homes"][0]["home"], facts["homes"][0]["share"], facts["runs"]) == (mesh.site.code, 1.0, 20)
