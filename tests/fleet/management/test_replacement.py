"""Replacements from the terminal."""

import json
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Replacement
from fleet.planning.replacing.states import State
from fleet.verbs.replacing import moving
from tests import make
from tests.fleet.verbs.replacing.conftest import photo

pytestmark = pytest.mark.django_db


def run(*words):
    out = StringIO()
    call_command("replacement", *words, stdout=out)
    return out.getvalue()


@pytest.fixture
def mesh():
    mesh = make.mesh(site=make.site(code="KELP-7", time_zone="Europe/Oslo"))
    make.service(mesh)
    make.spare(code="NEW-1")
    return mesh


def test_one_is_asked_for_planned_shown_and_listed(mesh):
    run("ask", "KELP-7-A", "--why", "failed", "--because", "it drops devices", "--by", "Orla")
    noor = make.person(username="noor")
    told = run(
        "plan", "KELP-7-A", "--radio", "new-1", "--from", "2027-03-29T09:30", "--until", "2027-03-29T11:00",
        "--goes", "noor", "--consent", "Ingunn", "--way-back-read", "--json",
    )  # fmt: skip

    swap = Replacement.objects.get()
    assert (swap.new_radio.code, swap.technician, swap.consent_by) == ("NEW-1", noor, "Ingunn")
    assert swap.begins_at.isoformat() == "2027-03-29T07:30:00+00:00"
    items = {each["item"]: each["met"] for each in json.loads(told)["items"]}
    assert len(items) == 12
    assert (items["window"], items["copy"]) == ("met", "not met")
    assert "There is no sound copy" in run("show", "KELP-7-A")
    assert json.loads(run("list", "--json"))[0]["state"] == "asked"


def test_a_move_that_is_refused_says_why_and_writes_nothing(mesh):
    make.replacement(mesh)

    with pytest.raises(
        CommandError, match=r"Nothing was written. consent_by: nobody in the house has agreed"
    ):
        run("move", "agreed", "KELP-7-A")

    assert Replacement.objects.get().state == "asked"


def test_a_radio_is_shown_silent_by_a_photo(mesh, tmp_path, monkeypatch):
    for name in ("preflight", "against_now"):  # judged in tests of the verbs
        monkeypatch.setattr(moving, name, lambda *args: ())
    make.replacement(mesh, state=State.ARRIVED.value)
    file = tmp_path / "lead.jpg"
    file.write_bytes(photo(size=(60, 40)))

    run("move", "silenced", "KELP-7-A", "--how", "unplugged", "--photo", str(file), "--by", "Noor")

    assert Replacement.objects.get().silences.get().by == "Noor"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("show", "KELP-7-A"), "has no replacement under way; begin one with: replacement ask KELP-7-A"),
        (
            ("ask", "KELP-7-A", "--why", "failed", "--because", "x", "--radio", "NOPE"),
            "--radio NOPE: there is no",
        ),
        (("show", "NOPE-1"), "There is no mesh NOPE-1"),
    ],
    ids=["none under way", "no such radio", "no such mesh"],
)
def test_what_is_not_there_is_named(mesh, words, told):
    with pytest.raises(CommandError, match=told):
        run(*words)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--from", "tomorrow"), "--from tomorrow: right is a time such as 2027-03-29T09:30"),
        (("--goes", "nobody"), "--goes nobody: nobody has this user name"),
    ],
    ids=["no time", "no person"],
)
def test_what_cannot_be_agreed_is_named_by_its_argument(mesh, words, told):
    make.replacement(mesh)
    with pytest.raises(CommandError, match=told):
        run("plan", "KELP-7-A", *words)


def test_a_photo_that_is_not_there_is_named(mesh, tmp_path):
    make.replacement(mesh, state=State.ARRIVED.value)
    with pytest.raises(CommandError, match=r"--photo .* cannot be read: No such file"):
        run("move", "silenced", "KELP-7-A", "--how", "unplugged", "--photo", str(tmp_path / "none.jpg"))


def test_it_says_when_somebody_had_to_come_back(mesh):
    swap = make.replacement(mesh, state=State.ACCEPTED.value)
    swap.moves.create(became=State.ACCEPTED.value, at=make.NOW, by="Noor")
    assert "Somebody had to come back: not so far." in run("show", "KELP-7-A")

    make.visit(mesh.site, state="done", ended_at=make.NOW + timedelta(days=29))

    day = f"{make.NOW + timedelta(days=29):%Y-%m-%d}"
    assert f"Somebody had to come back: {day}." in run("show", "KELP-7-A")
    assert [each[:10] for each in json.loads(run("show", "KELP-7-A", "--json"))["called_back"]] == [day]
