"""Drills from the terminal."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from fleet.models import Drill, DrillDraw, How, Mesh
from fleet.verbs.intake import Origin, receive
from tests import make
from tests.documents import document
from tests.fleet.verbs.replacing.conftest import good_release

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh():
    mesh = make.mesh(site=make.site(code="KELP-7"))
    build = good_release(make.radio_model(channel_mask=0x07FFF800, max_power_dbm=20))
    make.service(mesh, make.radio(state="on_air", firmware=build, carried_address=mesh.head_address))
    shelf = make.place(code="SHELF-1", name="Bench shelf", kind="shelf")
    make.spare(code="A2-0110", firmware=build, place=shelf)
    now = timezone.now()
    receive(mesh, document(mesh, now), Origin(How.PUSH, "controller"), now)
    return Mesh.objects.get(pk=mesh.pk)


def run(*words):
    out = StringIO()
    call_command("drill", *words, stdout=out)
    return out.getvalue()


BENCH = (
    "begin",
    "KELP-7",
    "--kind",
    "bench",
    "--radio",
    "a2-0110",
    "--place",
    "shelf-1",
    "--setup",
    "shielded",
)


def test_a_drill_is_held_and_the_roster_knows(mesh, tmp_path):
    run(*BENCH, "--nothing-radiates", "--by", "Noor")
    for step in ("fetch", "find", "copy"):
        run("step", "KELP-7", step)
    out = tmp_path / "spare.json"
    told = run("write", "KELP-7", "--out", str(out))
    assert "A2-0110 may hold the live key: wipe it, then prove it blank." in told
    assert out.stat().st_mode & 0o077 == 0
    for step in ("write", "start", "compare"):
        run("step", "KELP-7", step)
    facts = json.loads(run("end", "KELP-7", "passed", "--by", "Noor", "--json"))

    assert (facts["end"], facts["radio"], facts["blank_again"]) == ("passed", "A2-0110", False)
    assert str(facts["numbers"][0]) in out.read_text()
    assert Drill.objects.get().by == "Noor"
    roster = json.loads(run("roster", "--json"))
    assert (roster["homes_in_time"], roster["homes"], roster["to_wipe"]) == (1, 1, ["A2-0110"])
    assert "1 of 1 homes were rehearsed in time." in run("roster")


def test_nothing_is_given_out_before_the_step_and_no_file_stays(mesh, tmp_path):
    run(*BENCH, "--nothing-radiates")
    out = tmp_path / "spare.json"
    with pytest.raises(
        CommandError, match=r"Nothing was written\. step: the document is given out at the step"
    ):
        run("write", "KELP-7", "--out", str(out))
    assert not out.exists()


def test_a_file_that_is_there_is_not_written_over(mesh, tmp_path):
    run(*BENCH, "--nothing-radiates")
    out = tmp_path / "spare.json"
    out.write_text("mine")
    with pytest.raises(CommandError, match="there is such a file already"):
        run("write", "KELP-7", "--out", str(out))
    assert out.read_text() == "mine"


def test_without_the_statement_it_does_not_begin(mesh):
    with pytest.raises(CommandError, match="nothing_radiates: say that nothing radiates"):
        run(*BENCH)


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        (("begin", "KELP-7", "--kind", "bench", "--radio", "X-1"), "--radio X-1: there is no such radio"),
        (("begin", "KELP-7", "--kind", "bench", "--place", "X-1"), "--place X-1: there is no such place"),
        (("step", "KELP-7", "fetch"), "KELP-7-A has no drill under way"),
        (("check", "March"), "MONTH March: right is a month such as 2027-03"),
        (("check", "2001-01"), "MONTH 2001-01: no lots were drawn for it"),
    ],
    ids=["radio", "place", "none-under-way", "no-month", "not-drawn"],
)
def test_what_is_wrong_is_named(mesh, words, wrong):
    with pytest.raises(CommandError, match=wrong):
        run(*words)


def test_lots_are_drawn_once_and_checked(mesh):
    facts = json.loads(run("draw", "--by", "Orla", "--json"))
    assert (facts["drawn"], facts["drawn_again_the_same"]) == (["KELP-7-A"], True)
    with pytest.raises(CommandError, match="they are drawn once a month"):
        run("draw")
    assert "drawn again: the same." in run("check", facts["month"])

    DrillDraw.objects.update(lots=[["KELP-7-A", 0, 0, 1000], ["SALT-9-A", 0, 0, 10**9]])
    with pytest.raises(CommandError, match="Drawn again it is NOT the same"):
        run("check", facts["month"])
