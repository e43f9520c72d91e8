"""python manage.py what-if: the same answer as the page, in the terminal."""

import json
from importlib import import_module
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import JournalEntry, PlaceKind, Radio, RadioState, Supposal
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh(monkeypatch):
    """Covered as of NOW, which the book's clock stands at, but that its spare is gone."""
    moment = type("Moment", (), {"now": make.NOW})
    monkeypatch.setattr(import_module("fleet.management.commands.what-if"), "book_time", lambda: moment)
    make.firm()
    make.place(
        code="SHELF-1", name="Workshop", kind=PlaceKind.SHELF, latitude="68.15000", longitude="14.20000"
    )
    mesh = covered_mesh()
    Radio.objects.filter(state=RadioState.SHELVED).delete()
    return mesh


def build(mesh) -> str:
    release = mesh.periods.get().radio.firmware
    return f"{release.model.code}@{release.version}"


def run(*words: str) -> str:
    out = StringIO()
    call_command("what-if", *words, stdout=out, stderr=StringIO())
    return out.getvalue()


def test_it_says_the_same_sentence_as_the_page(mesh):
    told = run("--spare", f"{build(mesh)}=2@SHELF-1", "--price", f"{build(mesh).split('@')[0]}=49.50")
    release = mesh.periods.get().radio.firmware
    assert told.startswith(
        f"With 2 more {release.model} {release.version} at Workshop, 1 mesh is no longer bare; "
    )
    assert "The spares cost 99.00 EUR, once." in told
    assert "0 failed in 1.1 radio-years, so at most 273.6 of 100 a year (few years" in told
    assert told.rstrip().endswith("Nothing was saved.")


def test_each_change_is_a_row_with_before_after_and_why(mesh):
    told = " ".join(run("--spare", f"{build(mesh)}=1@SHELF-1").split())
    assert "1 mesh in 1 home would be in another state:" in told
    assert f"{mesh.code} bare covered" in told
    assert "There is no spare" in told


def test_json_holds_every_fact(mesh):
    facts = json.loads(run("--spare", f"{build(mesh)}=2@SHELF-1", "--drill-days", "90", "--json"))
    (change,) = facts["changed"]
    assert (change["mesh"], change["before"]["readiness"], change["after"]["readiness"]) == (
        mesh.code,
        "bare",
        "covered",
    )
    assert (change["before"]["gate"], change["after"]["gate"]) == ("spare", "")
    assert facts["hours"]["after"] < facts["hours"]["before"]
    assert facts["hours"]["before"] == pytest.approx(change["before"]["hours"])
    assert facts["rates"][0]["few_years"] is True
    assert (facts["supposed"]["drill_days"], facts["saved"]) == (90, False)
    assert facts["as_of"] == make.NOW.isoformat()


def test_nothing_is_written_not_even_the_question(mesh):
    run("--drill-days", "30", "--point-hours", "12", "--firmware", f"{build(mesh)}=barred")
    assert (Supposal.objects.count(), JournalEntry.objects.count()) == (0, 0)


def test_a_wait_that_is_not_known_is_not_counted(mesh):
    told = run("--drill-days", "30", "--wait-days", "none")
    assert "no hours of outage can be counted" in told
    assert "Not counted in the hours: 1 mesh, no spare can be taken" in told


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "Nothing is supposed yet: give at least one change"),
        (("--drill-days", "0"), "--drill-days: The drill interval is 0; write 1 to 1830."),
        (("--point-hours", "9000"), "--point-hours: The recovery point is 9000; write 1 to 8760."),
        (("--wait-days", "soon", "--drill-days", "9"), "--wait-days: “soon” is no count of days"),
        (("--spare", "X9@1=2@SHELF-1"), "--spare: There is no X9 with firmware 1; the book has"),
        (("--spare", "X9"), "--spare: “X9” does not name a model and its firmware"),
        (("--without", "A2-9"), "--without: A2-9 is no spare that stands by; none stands by."),
        (("--firmware", "X9@1=bad"), "--firmware: “bad” is no policy"),
        (("--price", "X9=5", "--drill-days", "9"), "--price: No spare of the model X9 is added"),
    ],
)
def test_what_cannot_be_is_named_with_its_option_and_what_would_be_right(mesh, words, told):
    with pytest.raises(CommandError) as refused:
        run(*words)
    assert told in str(refused.value)


def test_a_place_that_is_none_is_named(mesh):
    with pytest.raises(CommandError, match="--spare: There is no place LOFT-1"):
        run("--spare", f"{build(mesh)}=1@LOFT-1")
